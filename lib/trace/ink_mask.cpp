#include "trace/ink_mask.h"

#include <algorithm>
#include <vector>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kGrainMm = 0.05;          // blur that evens pencil grain and keeps 0.25 mm lines
constexpr double kSmallestHoleMm2 = 0.03;  // pinholes left by the paper's tooth inside a line

// Components that nowhere reach `strong` are paper, not ink.
void keep_strong(cv::Mat& ink, const cv::Mat& smooth, float strong) {
  cv::Mat labels;
  const int count = cv::connectedComponents(ink, labels, 8, CV_32S);
  std::vector<uchar> keep(static_cast<std::size_t>(count), 0);
  for (int y = 0; y < ink.rows; ++y) {
    const int* label = labels.ptr<int>(y);
    const float* d = smooth.ptr<float>(y);
    for (int x = 0; x < ink.cols; ++x) {
      if (label[x] && d[x] >= strong) keep[static_cast<std::size_t>(label[x])] = 1;
    }
  }
  for (int y = 0; y < ink.rows; ++y) {
    const int* label = labels.ptr<int>(y);
    uchar* to = ink.ptr<uchar>(y);
    for (int x = 0; x < ink.cols; ++x) to[x] = keep[static_cast<std::size_t>(label[x])];
  }
}

void fill_pinholes(cv::Mat& ink, double smallest_px) {
  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  cv::connectedComponentsWithStats(1 - ink, labels, stats, centres, 4, CV_32S);
  for (int y = 0; y < ink.rows; ++y) {
    const int* label = labels.ptr<int>(y);
    uchar* to = ink.ptr<uchar>(y);
    for (int x = 0; x < ink.cols; ++x) {
      if (label[x] && stats.at<int>(label[x], cv::CC_STAT_AREA) < smallest_px) to[x] = 1;
    }
  }
}

}  // namespace

InkMask find_ink(const cv::Mat& density, const InkMaskOptions& options) {
  InkMask out;
  const double sigma_px = std::max(0.5, kGrainMm * options.px_per_mm);
  cv::GaussianBlur(density, out.smooth, {0, 0}, sigma_px);
  // White noise left after the blur; paper grain is coarser, hence the factor.
  const double noise = 2.0 * options.noise / (2.0 * std::sqrt(CV_PI) * sigma_px);
  const float weak = static_cast<float>(std::max(0.75 * options.lightest, 3.5 * noise));
  const float strong = static_cast<float>(std::max(1.25 * options.lightest, 6.0 * noise));

  cv::Mat peak;
  const int reach =
      std::max(1, static_cast<int>(std::lround(options.reach_mm * options.px_per_mm)));
  cv::dilate(out.smooth,
             peak,
             cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  out.ink.create(density.size(), CV_8U);
  for (int y = 0; y < density.rows; ++y) {
    const float* d = out.smooth.ptr<float>(y);
    const float* p = peak.ptr<float>(y);
    uchar* to = out.ink.ptr<uchar>(y);
    const float half = static_cast<float>(options.half);
    for (int x = 0; x < density.cols; ++x) to[x] = d[x] > std::max(weak, half * p[x]) ? 1 : 0;
  }
  cv::rectangle(out.ink, {0, 0, out.ink.cols, out.ink.rows}, 0, 1);
  keep_strong(out.ink, out.smooth, strong);
  fill_pinholes(out.ink, kSmallestHoleMm2 * options.px_per_mm * options.px_per_mm);
  return out;
}

}  // namespace underdraw
