#include "support/dotted_face.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>

namespace underdraw::test {
namespace {

constexpr double kReachMm = 3.0;

// Middle of what is darker than half way between the coat and the darkest, within reach.
std::optional<Vec2> dark_middle(const Unrolled& picture, Vec2 near_px) {
  const double per_mm = picture.px_per_along;
  const int reach = static_cast<int>(kReachMm * per_mm);
  std::vector<float> values;
  const auto value = [&](int x, int y) {
    const int cols = picture.light.cols;
    if (picture.round) x = (x % cols + cols) % cols;
    if (x < 0 || x >= cols || y < 0 || y >= picture.light.rows) return 2.0f;
    return picture.light.at<float>(y, x);
  };
  const int cx = static_cast<int>(std::floor(near_px.x));
  const int cy = static_cast<int>(std::floor(near_px.y));
  for (int y = cy - reach; y <= cy + reach; ++y) {
    for (int x = cx - reach; x <= cx + reach; ++x) {
      if (value(x, y) < 1.5f) values.push_back(value(x, y));
    }
  }
  if (values.empty()) return {};
  std::sort(values.begin(), values.end());
  const float coat = values[values.size() / 2];
  const float dark = values[values.size() / 400];
  if (dark > 0.75f * coat) return {};
  const float half = 0.5f * (coat + dark);
  Vec2 sum;
  double total = 0.0;
  for (int y = cy - reach; y <= cy + reach; ++y) {
    for (int x = cx - reach; x <= cx + reach; ++x) {
      const auto depth = static_cast<double>(half - value(x, y));
      if (depth <= 0.0) continue;
      sum += Vec2{x + 0.5, y + 0.5} * depth;
      total += depth;
    }
  }
  return sum / total;
}

double share_at(std::vector<double> values, double share) {
  if (values.empty()) return 1e9;
  std::sort(values.begin(), values.end());
  return values[std::min(values.size() - 1,
                         static_cast<std::size_t>(share * static_cast<double>(values.size())))];
}

}  // namespace

std::vector<FacePoint> dot_places(const Surface& surface, const Dots& dots) {
  std::vector<FacePoint> places;
  const double wide = surface.round() ? 360.0 - 1e-9 : surface.widest_mm() - dots.margin_mm;
  for (double s = dots.margin_mm; s <= surface.along_mm() - dots.margin_mm; s += dots.along_step) {
    for (double a = surface.round() ? 0.0 : dots.margin_mm; a <= wide; a += dots.across_step) {
      places.push_back({a, s});
    }
  }
  return places;
}

std::vector<FaceLine> dot_lines(const Surface& surface, const Dots& dots) {
  std::vector<FaceLine> lines;
  for (const FacePoint p : dot_places(surface, dots)) {
    FaceLine line;
    line.width_mm = dots.width_mm;
    line.strength = 0.95;
    line.points = {p, p};
    lines.push_back(line);
  }
  return lines;
}

DotMisses dot_misses(const Surface& surface,
                     const Unrolled& picture,
                     double steepest_deg,
                     const Dots& dots) {
  DotMisses out;
  std::vector<double> turns;
  for (const FacePoint p : dot_places(surface, dots)) {
    const Vec2 px = picture.px_from_face(p);
    const int x = std::clamp(static_cast<int>(px.x), 0, picture.light.cols - 1);
    const int y = std::clamp(static_cast<int>(px.y), 0, picture.light.rows - 1);
    const auto steep = static_cast<double>(picture.steep.at<float>(y, x));
    if (steep >= steepest_deg) continue;
    ++out.asked;
    const auto middle = dark_middle(picture, px);
    if (!middle) continue;
    const FacePoint found = picture.face_from_px(*middle);
    out.dots.push_back({p, surface.way(p, found), steep});
    if (picture.round) turns.push_back(std::remainder(found.across - p.across, 360.0));
  }
  if (!turns.empty()) out.turn_deg = share_at(turns, 0.5);
  std::vector<double> misses;
  for (DotMiss& dot : out.dots) {
    if (picture.round) dot.off.x -= out.turn_deg * surface.mm_per_across(dot.at.along);
    misses.push_back(length(dot.off));
  }
  out.median_mm = share_at(misses, 0.5);
  out.p95_mm = share_at(misses, 0.95);
  return out;
}

void print_misses(const char* what, const DotMisses& misses) {
  std::printf("[ reached  ] %s: %zu of %zu dots, median %.3f mm, 95 %% %.3f mm, turn %.3f deg\n",
              what,
              misses.dots.size(),
              misses.asked,
              misses.median_mm,
              misses.p95_mm,
              misses.turn_deg);
}

}  // namespace underdraw::test
