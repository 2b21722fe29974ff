#include "trace/take_areas.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "trace/fill_grain.h"
#include "trace/find_corners.h"
#include "trace/median.h"
#include "trace/refine_line.h"
#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kLeastRadiusMm = 0.55;  // thinner ink is always a line or a dot
constexpr double kMostRadiusMm = 1.0;    // thicker ink is looked at whatever the pen
constexpr int kAround = 3;               // px of paper round a part
constexpr double kBodyShare = 0.6;   // of the largest inner disc: what that reaches belongs to it
constexpr double kLongestTip = 1.7;  // times the length of its root; longer is a line
constexpr double kLeastRoot = 1.25;  // times the radius of the parts; a line's is shorter
constexpr double kFullestTip = 0.9;  // of root times reach; a wedge has half of that
// A small area with lines out of it on many sides is the blot where they meet.
constexpr double kLargestBlotMm2 = 10.0;
constexpr double kLeastBare = 0.8;
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
  double bare = 0.0;      // share of it with paper outside, and not other ink
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

bool is_ink(const InkMask& mask, Vec2 p) {
  const int x = std::clamp(static_cast<int>(p.x), 0, mask.ink.cols - 1);
  const int y = std::clamp(static_cast<int>(p.y), 0, mask.ink.rows - 1);
  return mask.ink.at<uchar>(y, x) != 0;
}

// The outline from the middles of border pixels to where the ink is half as dark as inside.
Outline at_half_darkness(const InkMask& mask,
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
    const double half = 0.5 * static_cast<double>(value_at(mask.smooth, at(i) - outward * 2.5));
    const double outside = static_cast<double>(value_at(mask.smooth, at(i) + outward * 3.0));
    // Where the area goes over into other ink there is no edge to judge.
    if (!is_ink(mask, at(i) + outward * 3.0)) {
      contrasts.push_back(half > 0.0 ? 1.0 - outside / (2.0 * half) : 0.0);
    }
    double edge = 0.5;  // where a line runs into the area there is none: half a pixel out
    double before = static_cast<double>(value_at(mask.smooth, at(i) - outward * 2.0));
    for (double d = -1.75; d <= 2.5; d += 0.25) {
      const double v = static_cast<double>(value_at(mask.smooth, at(i) + outward * d));
      if (before >= half && v < half) {
        edge = d - 0.25 * (half - v) / (before - v);
        break;
      }
      before = v;
    }
    out.push_back(at(i) + outward * edge);
  }
  const double bare = static_cast<double>(contrasts.size()) / static_cast<double>(n);
  return {evened_line(out, 1.2, true), bare > 0.1 ? median(std::move(contrasts)) : 1.0, bare};
}

using Border = std::vector<cv::Point>;

// Size of the mark that the part belongs to, as far as a few of its inner radii: all that is not
// much thinner than its thickest place. A brush line that swells or tapers is long in this way.
double body_px(const Thinned& thinned, const Region& region, double inner) {
  const int reach = static_cast<int>(std::ceil(8.0 * inner));
  cv::Rect window = region.window;
  window -= cv::Point(reach, reach);
  window += cv::Size(2 * reach, 2 * reach);
  window &= cv::Rect({0, 0}, thinned.radius.size());
  const cv::Mat radius = thinned.radius(window);
  const double least = kBodyShare * inner;
  cv::Mat far;
  cv::distanceTransform(radius < least, far, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  const cv::Mat body = (far <= least + 0.5) & (radius > 0.0);
  cv::Mat labels, stats, centres;
  cv::connectedComponentsWithStats(body, labels, stats, centres, 8, CV_32S);
  // The part's thickest place is in the body.
  cv::Point thickest;
  cv::minMaxLoc(thinned.radius(region.window), nullptr, nullptr, nullptr, &thickest, region.mask);
  thickest += region.window.tl() - window.tl();
  return stats.at<int>(labels.at<int>(thickest), cv::CC_STAT_AREA);
}

// Adds what ends soon after it leaves the part: the tips of leaves, the corners of shapes. The part
// was found with a disc of that radius.
void take_tips(const cv::Mat& ink, Region& region, double radius) {
  const int grow = static_cast<int>(std::ceil(2.0 * kLongestTip * radius));
  cv::Rect window = region.window;
  window -= cv::Point(grow, grow);
  window += cv::Size(2 * grow, 2 * grow);
  window &= cv::Rect({0, 0}, ink.size());
  cv::Mat part = cv::Mat::zeros(window.size(), CV_8U);
  region.mask.copyTo(part(region.window - window.tl()));
  cv::Mat from_part;
  cv::distanceTransform(part == 0, from_part, cv::DIST_L2, cv::DIST_MASK_5);
  const cv::Mat rest = (ink(window) != 0) & (part == 0);
  cv::Mat labels, stats, centres;
  const int count = cv::connectedComponentsWithStats(rest, labels, stats, centres, 8, CV_32S);
  std::vector<double> root(static_cast<std::size_t>(count), 0.0);
  std::vector<double> reach(static_cast<std::size_t>(count), 0.0);
  for (int y = 0; y < labels.rows; ++y) {
    const int* l = labels.ptr<int>(y);
    const float* d = from_part.ptr<float>(y);
    for (int x = 0; x < labels.cols; ++x) {
      const auto k = static_cast<std::size_t>(l[x]);
      if (k == 0) continue;
      const double far = static_cast<double>(d[x]);
      if (far < 1.2) root[k] += 1.0;
      reach[k] = std::max(reach[k], far);
    }
  }
  const auto is_tip = [&](int k) {
    const double r = root[static_cast<std::size_t>(k)];
    const double out = reach[static_cast<std::size_t>(k)];
    return k != 0 && r >= kLeastRoot * radius && out <= kLongestTip * r &&
           stats.at<int>(k, cv::CC_STAT_AREA) <= kFullestTip * r * (out + 1.0);
  };
  for (int y = 0; y < labels.rows; ++y) {
    const int* l = labels.ptr<int>(y);
    uchar* p = part.ptr<uchar>(y);
    for (int x = 0; x < labels.cols; ++x) {
      if (is_tip(l[x])) p[x] = 255;
    }
  }
  region.window = window;
  region.mask = part;
}

// The outer one first, then the holes, in px of the whole image.
std::vector<Border> borders_of(const Region& region) {
  std::vector<Border> borders;
  std::vector<cv::Vec4i> tree;
  cv::findContours(
      region.mask, borders, tree, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE, region.window.tl());
  std::size_t outer = 0;
  for (std::size_t i = 0; i < borders.size(); ++i) {
    if (tree[i][3] < 0 && borders[i].size() > borders[outer].size()) outer = i;
  }
  std::vector<Border> out = {borders.at(outer)};
  for (int hole = tree[outer][2]; hole >= 0; hole = tree[static_cast<std::size_t>(hole)][0]) {
    out.push_back(std::move(borders[static_cast<std::size_t>(hole)]));
  }
  return out;
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
  if (fill_grain(mask, {.px_per_mm = px})) thinned = thin(mask.ink);
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
    const double longest_px = options.longest * CV_PI * inner * inner;
    if (cv::countNonZero(region.mask) > longest_px) continue;
    if (body_px(thinned, region, inner) > longest_px) continue;
    take_tips(mask.ink, region, radius);

    const std::vector<Border> own = borders_of(region);
    Outline outer = at_half_darkness(mask, region, own.front());
    if (outer.bare < kLeastBare && cv::countNonZero(region.mask) < kLargestBlotMm2 * px * px) {
      continue;
    }
    // What fades into the paper is a smudge or a fold: its ink goes too.
    if (outer.contrast > kLeastContrast) {
      InkArea area;
      area.rings.push_back(ring_of(std::move(outer.points), px));
      for (std::size_t hole = 1; hole < own.size(); ++hole) {
        if (cv::contourArea(own[hole]) < kSmallestHoleMm2 * px * px) continue;
        area.rings.push_back(ring_of(at_half_darkness(mask, region, own[hole]).points, px));
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
