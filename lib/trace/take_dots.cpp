#include "trace/take_dots.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kRoundest = 0.55;  // least short side over long side
constexpr double kFullest = 0.55;   // least mean darkness inside, in shares of the darkest place

// Centroid and width of the ink about a place; `radius` is half its size as the mask saw it.
InkDot measure(const cv::Mat& smooth, Vec2 near, double radius, double peak) {
  const double reach = 1.4 * radius + 1.5;
  InkDot dot{near, 0.0};
  double sum = 0.0;
  Vec2 moment;
  for (double dy = -reach; dy <= reach; dy += 0.5) {
    for (double dx = -reach; dx <= reach; dx += 0.5) {
      if (std::hypot(dx, dy) > reach) continue;
      const Vec2 p = near + Vec2{dx, dy};
      const double weight = std::max(0.0, static_cast<double>(value_at(smooth, p)) - 0.3 * peak);
      sum += weight;
      moment += p * weight;
    }
  }
  if (sum > 0.0) dot.at = moment / sum;
  constexpr int kRays = 16;
  for (int k = 0; k < kRays; ++k) {
    // From outside inwards: graphite leaves pinholes inside a dot.
    const double angle = 2.0 * std::numbers::pi * k / kRays;
    const Vec2 way{std::cos(angle), std::sin(angle)};
    double r = reach;
    while (r > 0.0 && static_cast<double>(value_at(smooth, dot.at + way * r)) < 0.5 * peak) {
      r -= 0.1;
    }
    dot.width += 2.0 * r / kRays;
  }
  return dot;
}

}  // namespace

std::vector<InkDot> take_dots(InkMask& mask, const TakeDotsOptions& options) {
  std::vector<InkDot> dots;
  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  const int count = cv::connectedComponentsWithStats(mask.ink, labels, stats, centres, 8, CV_32S);
  for (int i = 1; i < count; ++i) {
    const cv::Rect box(stats.at<int>(i, cv::CC_STAT_LEFT),
                       stats.at<int>(i, cv::CC_STAT_TOP),
                       stats.at<int>(i, cv::CC_STAT_WIDTH),
                       stats.at<int>(i, cv::CC_STAT_HEIGHT));
    const double longer = std::max(box.width, box.height);
    const double shorter = std::min(box.width, box.height);
    if (longer > options.largest_mm * options.px_per_mm) continue;
    if (longer >= options.smallest_mm * options.px_per_mm) {
      if (shorter < kRoundest * longer) continue;
      double peak = 0.0;
      cv::minMaxLoc(mask.smooth(box), nullptr, &peak);
      // Mean darkness inside the ellipse that fills the box.
      cv::Mat inside = cv::Mat::zeros(box.size(), CV_8U);
      cv::ellipse(inside,
                  {box.width / 2, box.height / 2},
                  {std::max(1, box.width / 2 - 1), std::max(1, box.height / 2 - 1)},
                  0,
                  0,
                  360,
                  255,
                  cv::FILLED);
      if (cv::mean(mask.smooth(box), inside)[0] < kFullest * peak) continue;
      const Vec2 centre{centres.at<double>(i, 0) + 0.5, centres.at<double>(i, 1) + 0.5};
      const InkDot dot = measure(mask.smooth, centre, (longer + shorter) / 4.0, 0.85 * peak);
      if (dot.width >= options.smallest_mm * options.px_per_mm) dots.push_back(dot);
    }
    mask.ink(box).setTo(0, labels(box) == i);
  }
  return dots;
}

}  // namespace underdraw
