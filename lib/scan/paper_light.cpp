#include "scan/paper_light.h"

#include <algorithm>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "scan/shrink_page.h"

namespace underdraw {
namespace {

constexpr double kCoarseDpi = 150.0;
constexpr int kGrid = 4;  // coarse px per point of the light's own grid

// Value below which the given share of the samples lies.
float quantile(std::vector<float>& values, double share) {
  const auto nth =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), nth, values.end());
  return *nth;
}

// The brightest that each place of a coarse plane is anywhere near, CV_32FC1.
cv::Mat brightest_near(const cv::Mat& plane, double px_per_mm, double reach_mm) {
  const cv::Size coarse = plane.size();
  cv::Mat bright;
  cv::blur(plane, bright, {3, 3});
  cv::dilate(bright, bright, cv::getStructuringElement(cv::MORPH_RECT, {kGrid + 1, kGrid + 1}));
  const cv::Size grid(std::max(1, coarse.width / kGrid), std::max(1, coarse.height / kGrid));
  cv::resize(bright, bright, grid, 0, 0, cv::INTER_NEAREST);
  const int reach = std::max(1, static_cast<int>(std::lround(reach_mm * px_per_mm / kGrid)));
  // A square costs the same whatever its size; a disc would not.
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {2 * reach + 1, 2 * reach + 1});
  cv::morphologyEx(bright, bright, cv::MORPH_CLOSE, square);
  cv::Mat light;
  bright.convertTo(light, CV_32F);
  cv::GaussianBlur(light, light, {0, 0}, std::max(1.0, 0.2 * reach));
  cv::resize(light, light, coarse, 0, 0, cv::INTER_LINEAR);
  cv::max(light, 1.0, light);
  return light;
}

// plane / light at places all over the page.
std::vector<float> shares_of(const cv::Mat& plane, const cv::Mat& light) {
  std::vector<float> sample;
  const int step = std::max(1, static_cast<int>(std::sqrt(plane.size().area() / 40000.0)));
  for (int y = 0; y < plane.rows; y += step) {
    for (int x = 0; x < plane.cols; x += step) {
      sample.push_back(static_cast<float>(plane.at<uchar>(y, x)) / light.at<float>(y, x));
    }
  }
  return sample;
}

}  // namespace

cv::Mat plane_light(const cv::Mat& plane, double px_per_mm, const PaperLightOptions& options) {
  cv::Mat light = brightest_near(plane, px_per_mm, options.reach_mm);
  std::vector<float> sample = shares_of(plane, light);
  light *= std::max(0.05F, quantile(sample, 0.5));
  return light;
}

PaperLight paper_light(const Page& page, const PaperLightOptions& options) {
  PaperLight out;
  out.shrink = std::max(1, static_cast<int>(std::lround(page.dpi() / kCoarseDpi)));
  out.grey = shrink_page(page, out.shrink).grey;
  out.light = brightest_near(out.grey, page.dpi() / 25.4 / out.shrink, options.reach_mm);

  // The brightest nearby value is a little brighter than paper is on average: even that out, and
  // read the paper's own variation, both from a sample of the page.
  std::vector<float> sample = shares_of(out.grey, out.light);
  const float middle = std::max(0.05F, quantile(sample, 0.5));
  out.light *= middle;
  // Ink darkens only the lower half, so the upper half tells the noise: 0.8413 is one sigma.
  out.noise = std::max(0.002, static_cast<double>(quantile(sample, 0.8413) / middle - 1.0F));
  return out;
}

}  // namespace underdraw
