#include "trace/take_areas.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "trace/find_corners.h"
#include "trace/median.h"
#include "trace/refine_line.h"

namespace underdraw {
namespace {

constexpr double kLeastRadiusMm = 0.55;   // thinner ink is always a line or a dot
constexpr double kMostRadiusMm = 1.0;     // thicker ink is looked at whatever the pen
constexpr int kAround = 3;                // px of paper round a part
constexpr double kSmallestHoleMm2 = 0.4;  // paper left by an uneven filling

double pen_radius(const Thinned& thinned) {
  std::vector<double> radii;
  for (int y = 0; y < thinned.line.rows; ++y) {
    const uchar* line = thinned.line.ptr<uchar>(y);
    const float* radius = thinned.radius.ptr<float>(y);
    for (int x = 0; x < thinned.line.cols; ++x) {
      if (line[x]) radii.push_back(static_cast<double>(radius[x]));
    }
  }
  return median(std::move(radii));
}

struct Outline {
  std::vector<Vec2> points;
  double contrast = 0.0;  // 1 - darkness outside / darkness inside, median
};

// One part of the thick ink, in a window of the image that leaves paper round it: work grows with
// the part, not with the drawing.
struct Region {
  cv::Rect window;
  cv::Mat mask;  // CV_8UC1, 0 or 255, of the window's size

  bool contains(Vec2 p) const {
    const int x = std::clamp(static_cast<int>(p.x) - window.x, 0, mask.cols - 1);
    const int y = std::clamp(static_cast<int>(p.y) - window.y, 0, mask.rows - 1);
    return mask.at<uchar>(y, x) != 0;
  }
};

// The outline from the middles of border pixels to where the ink is half as dark as inside.
Outline at_half_darkness(const cv::Mat& smooth,
                         const Region& region,
                         const std::vector<cv::Point>& border) {
  std::vector<Vec2> points;
  for (const cv::Point& p : border) points.push_back({p.x + 0.5, p.y + 0.5});
  const std::vector<Vec2> steady = evened_line(points, 1.5, true);
  const int n = static_cast<int>(steady.size());
  const auto at = [&](int i) { return steady[static_cast<std::size_t>(((i % n) + n) % n)]; };
  std::vector<Vec2> out;
  std::vector<double> contrasts;
  for (int i = 0; i < n; ++i) {
    Vec2 outward = perpendicular(normalized(at(i + 2) - at(i - 2)));
    if (region.contains(at(i) + outward * 1.6) && !region.contains(at(i) - outward * 1.6)) {
      outward = -outward;
    }
    const double half = 0.5 * static_cast<double>(value_at(smooth, at(i) - outward * 2.5));
    const double outside = static_cast<double>(value_at(smooth, at(i) + outward * 3.0));
    contrasts.push_back(half > 0.0 ? 1.0 - outside / (2.0 * half) : 0.0);
    double edge = 0.5;  // where a line runs into the area there is none: half a pixel out
    double before = static_cast<double>(value_at(smooth, at(i) - outward * 2.0));
    for (double d = -1.75; d <= 2.5; d += 0.25) {
      const double v = static_cast<double>(value_at(smooth, at(i) + outward * d));
      if (before >= half && v < half) {
        edge = d - 0.25 * (half - v) / (before - v);
        break;
      }
      before = v;
    }
    out.push_back(at(i) + outward * edge);
  }
  return {evened_line(out, 1.2, true), median(std::move(contrasts))};
}

InkRing ring_of(std::vector<Vec2> points, double px_per_mm) {
  InkRing ring;
  ring.corners =
      find_corners(points, true, static_cast<int>(std::lround(std::max(5.0, 0.5 * px_per_mm))));
  ring.points = std::move(points);
  return ring;
}

}  // namespace

std::vector<InkArea> take_areas(InkMask& mask, Thinned& thinned, const TakeAreasOptions& options) {
  const double px = options.px_per_mm;
  const double radius =
      std::clamp(options.times_pen * pen_radius(thinned), kLeastRadiusMm * px, kMostRadiusMm * px);
  std::vector<InkArea> areas;
  double thickest = 0.0;
  cv::minMaxLoc(thinned.radius, nullptr, &thickest);
  if (thickest < radius) return areas;

  // Opening: what a disc of that radius reaches inside the ink.
  cv::Mat far;
  cv::distanceTransform(thinned.radius < radius, far, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  const cv::Mat thick = (far <= radius + 0.5) & (mask.ink != 0);
  bool changed = false;
  std::vector<std::vector<cv::Point>> borders;
  std::vector<cv::Vec4i> tree;  // next, previous, first hole, outline it lies in
  cv::findContours(thick, borders, tree, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
  for (std::size_t i = 0; i < borders.size(); ++i) {
    if (tree[i][3] >= 0) continue;  // a hole
    Region region;
    region.window = cv::boundingRect(borders[i]);
    region.window -= cv::Point(kAround, kAround);
    region.window += cv::Size(2 * kAround, 2 * kAround);
    region.window &= cv::Rect({0, 0}, thick.size());
    region.mask = cv::Mat::zeros(region.window.size(), CV_8U);
    cv::drawContours(region.mask,
                     borders,
                     static_cast<int>(i),
                     255,
                     cv::FILLED,
                     cv::LINE_8,
                     tree,
                     1,
                     -region.window.tl());
    double inner = 0.0;
    cv::minMaxLoc(thinned.radius(region.window), nullptr, &inner, nullptr, nullptr, region.mask);
    const double ink_px = cv::countNonZero(region.mask);
    if (ink_px > options.longest * CV_PI * inner * inner) continue;

    Outline outer = at_half_darkness(mask.smooth, region, borders[i]);
    // What fades into the paper is a smudge or a fold: its ink goes too.
    if (outer.contrast > kLeastContrast) {
      InkArea area;
      area.rings.push_back(ring_of(std::move(outer.points), px));
      for (int hole = tree[i][2]; hole >= 0; hole = tree[static_cast<std::size_t>(hole)][0]) {
        const auto& border = borders[static_cast<std::size_t>(hole)];
        if (cv::contourArea(border) < kSmallestHoleMm2 * px * px) continue;
        area.rings.push_back(ring_of(at_half_darkness(mask.smooth, region, border).points, px));
      }
      areas.push_back(std::move(area));
    }
    cv::dilate(region.mask, region.mask, cv::Mat());
    mask.ink(region.window).setTo(0, region.mask);
    changed = true;
  }
  if (changed) thinned = thin(mask.ink);
  return areas;
}

}  // namespace underdraw
