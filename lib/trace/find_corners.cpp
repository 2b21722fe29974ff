#include "trace/find_corners.h"

#include <algorithm>

namespace underdraw {
namespace {

constexpr double kCornerDeg = 55.0;  // least turn within the window

}  // namespace

std::vector<std::size_t> find_corners(const std::vector<Vec2>& points, bool ring, int window) {
  const int n = static_cast<int>(points.size());
  std::vector<std::size_t> out;
  if (n < 2 * window + 1) return out;
  const auto point = [&](int i) { return points[static_cast<std::size_t>(((i % n) + n) % n)]; };
  const int tip = window / 3;
  // Turn between the chords behind and ahead, leaving out the rounding at the tip itself.
  const auto turn = [&](int i) {
    return angle_between(point(i - tip) - point(i - window), point(i + window) - point(i + tip));
  };
  const int first = ring ? 0 : window;
  const int last = ring ? n : n - window;
  for (int i = first; i < last; ++i) {
    const double here = turn(i);
    if (here < radians(kCornerDeg)) continue;
    // A bend as wide as the window turns evenly all along it; a corner turns at one place.
    const Vec2 far_before = point(i - tip) - point(i - window);
    const Vec2 near_before = point(i) - point(i - tip);
    const Vec2 near_after = point(i + tip) - point(i);
    const Vec2 far_after = point(i + window) - point(i + tip);
    const double outer =
        angle_between(far_before, near_before) + angle_between(near_after, far_after);
    if (angle_between(near_before, near_after) < 0.6 * outer) continue;
    bool peak = true;
    for (int k = std::max(first, i - window); k <= std::min(last - 1, i + window) && peak; ++k) {
      if (k != i && (turn(k) > here || (turn(k) == here && k < i))) peak = false;
    }
    if (peak) out.push_back(static_cast<std::size_t>(i));
  }
  return out;
}

}  // namespace underdraw
