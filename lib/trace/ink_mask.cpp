#include "trace/ink_mask.h"

#include <algorithm>
#include <utility>
#include <vector>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kGrainMm = 0.05;          // blur that evens pencil grain and keeps 0.25 mm lines
constexpr double kShapeMm = 0.11;          // blur that shows which way a line runs
constexpr double kAlongMm = 0.25;          // spread (one sigma) of the evening along lines
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

// Evens the density along lines and not across them: each pixel becomes the mean of its
// neighbours in the direction in which the picture changes least. Graphite crumbs grow together
// while the paper between two close lines stays paper.
cv::Mat evened_along_lines(const cv::Mat& smooth, const cv::Mat& near_ink, double px_per_mm) {
  cv::Mat shape;  // wide enough to see the line and not its crumbs
  cv::GaussianBlur(smooth, shape, {0, 0}, std::max(0.7, kShapeMm * px_per_mm));
  const int reach = std::max(1, static_cast<int>(std::lround(2.0 * kAlongMm * px_per_mm)));
  std::vector<float> weight;
  const double sigma = kAlongMm * px_per_mm;
  for (int k = 0; k <= reach; ++k) {
    weight.push_back(static_cast<float>(std::exp(-0.5 * k * k / (sigma * sigma))));
  }
  cv::Mat out = smooth.clone();
  for (int y = reach + 1; y < smooth.rows - reach - 1; ++y) {
    const uchar* near = near_ink.ptr<uchar>(y);
    float* to = out.ptr<float>(y);
    for (int x = reach + 1; x < smooth.cols - reach - 1; ++x) {
      if (!near[x]) continue;
      const auto at = [&](int dx, int dy) { return shape.ptr<float>(y + dy)[x + dx]; };
      const float here = at(0, 0);
      const float xx = at(1, 0) + at(-1, 0) - 2.0F * here;
      const float yy = at(0, 1) + at(0, -1) - 2.0F * here;
      const float xy = 0.25F * (at(1, 1) + at(-1, -1) - at(1, -1) - at(-1, 1));
      const float mean = 0.5F * (xx + yy);
      const float spread = std::sqrt(0.25F * (xx - yy) * (xx - yy) + xy * xy);
      // Cosine and sine of half the angle 2 xy : xx - yy point along the larger curvature; the
      // smaller is across it. Take the weaker of the two.
      const float twice = spread > 0.0F ? 0.5F * (xx - yy) / spread : 1.0F;
      float c = std::sqrt(std::max(0.0F, 0.5F * (1.0F + twice)));
      float s = std::copysign(std::sqrt(std::max(0.0F, 0.5F * (1.0F - twice))), xy);
      if (std::abs(mean + spread) > std::abs(mean - spread)) c = std::exchange(s, c) * -1.0F;
      float sum = weight[0] * smooth.ptr<float>(y)[x];
      float total = weight[0];
      for (int k = 1; k <= reach; ++k) {
        const int dx = static_cast<int>(std::lround(c * static_cast<float>(k)));
        const int dy = static_cast<int>(std::lround(s * static_cast<float>(k)));
        const float w = weight[static_cast<std::size_t>(k)];
        sum += w * (smooth.ptr<float>(y + dy)[x + dx] + smooth.ptr<float>(y - dy)[x - dx]);
        total += 2.0F * w;
      }
      to[x] = sum / total;
    }
  }
  return out;
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

  const cv::Mat near_ink = out.smooth > 0.5F * weak;
  const cv::Mat even = evened_along_lines(out.smooth, near_ink, options.px_per_mm);
  cv::Mat peak;
  const int reach =
      std::max(1, static_cast<int>(std::lround(options.reach_mm * options.px_per_mm)));
  cv::dilate(
      even, peak, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  out.ink.create(density.size(), CV_8U);
  const float half = static_cast<float>(options.half);
  for (int y = 0; y < density.rows; ++y) {
    const float* d = even.ptr<float>(y);
    const float* p = peak.ptr<float>(y);
    uchar* to = out.ink.ptr<uchar>(y);
    for (int x = 0; x < density.cols; ++x) to[x] = d[x] > std::max(weak, half * p[x]) ? 1 : 0;
  }
  cv::rectangle(out.ink, {0, 0, out.ink.cols, out.ink.rows}, 0, 1);
  keep_strong(out.ink, out.smooth, strong);
  fill_pinholes(out.ink, kSmallestHoleMm2 * options.px_per_mm * options.px_per_mm);
  return out;
}

}  // namespace underdraw
