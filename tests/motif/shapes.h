// Drawings with a known axis, and a hand that wobbles.
//
// Used by the motif tests only.
#pragma once

#include <functional>
#include <random>
#include <vector>

#include "geometry/linework.h"

namespace underdraw::shapes {

inline Path curve(const std::function<Vec2(double)>& at, int corners = 60) {
  std::vector<Vec2> points;
  for (int i = 0; i <= corners; ++i) points.push_back(at(static_cast<double>(i) / corners));
  return Path::polyline(points);
}

// Both halves of a drawing that is given on one side of x = 0.
inline Linework both_sides(const std::vector<Path>& right, const std::vector<Path>& middle) {
  Linework lines;
  for (const Path& p : right) {
    lines.strokes.push_back({p, 0.5});
    lines.strokes.push_back({underdraw::transformed(p, Affine::mirror_x()), 0.5});
  }
  for (const Path& p : middle) lines.strokes.push_back({p, 0.5});
  return lines;
}

// A scallop, 40 mm across: rim, ribs and ears, the same on both sides.
inline Linework scallop() {
  std::vector<Path> right = {curve([](double t) {
                               const double a = t * 2.2;
                               const double r = 20.0 + 0.8 * std::abs(std::sin(6.0 * a));
                               return Vec2{r * std::sin(a), -r * std::cos(a)};
                             }),
                             Path::polyline({{3, 17}, {9, 19}, {9, 14}})};
  for (int i = 1; i <= 4; ++i) {
    const double a = 0.4 * i;
    right.push_back(curve([a](double t) {
      return mix({1, 16}, {18.0 * std::sin(a), -18.0 * std::cos(a)}, t) +
             Vec2{1.5 * std::sin(3.1 * t), 0};
    }));
  }
  return both_sides(right, {Path::polyline({{0, 15}, {0, -18}})});
}

// A thistle: round head with spikes, straight stem, a pair of leaves.
inline Linework thistle() {
  std::vector<Path> right = {
      curve([](double t) {
        return Vec2{9.0 * std::sin(3.14159 * t), -12.0 * std::cos(3.14159 * t)};
      }),
      Path::polyline({{1, 20}, {8, 16}, {6, 20}, {14, 19}, {9, 24}, {1, 26}})};
  for (int i = 0; i < 5; ++i)
    right.push_back(Path::polyline({{1.5 * i, -11.0 + i}, {2.6 * i + 1, -24.0 + i}}));
  return both_sides(right, {Path::polyline({{0, 12}, {0, 40}})});
}

// Kelp: a bent stem with blades on alternate sides; no axis.
inline Linework kelp() {
  Linework lines;
  const auto stem = [](double t) {
    return Vec2{6.0 * std::sin(4.0 * t) + 8.0 * t * t, 50.0 - 50.0 * t};
  };
  lines.strokes.push_back({curve(stem), 0.6});
  for (int i = 0; i < 6; ++i) {
    const Vec2 foot = stem(0.15 + 0.13 * i);
    const double side = i % 2 == 0 ? 1.0 : -1.0;
    lines.strokes.push_back(
        {curve([foot, side, i](double t) {
           return foot + Vec2{side * (10.0 + i) * t, -7.0 * t + 6.0 * std::sin(3.1 * t)};
         }),
         0.5});
  }
  return lines;
}

// A feather: curved quill, dense barbs 1.8 mm apart, longer on one side; no axis, and a hard case
// because something is always near.
inline Linework feather() {
  Linework lines;
  const auto quill = [](double t) { return Vec2{14.0 * t * t, 60.0 - 60.0 * t}; };
  lines.strokes.push_back({curve(quill), 0.6});
  for (int i = 0; i < 28; ++i) {
    const double t = 0.15 + 0.03 * i;
    const double swell = std::sin(3.0 * t);
    const Vec2 foot = quill(t);
    lines.strokes.push_back({Path::polyline({foot, foot + Vec2{12.0 * swell, -7.0 * swell}}), 0.4});
    lines.strokes.push_back({Path::polyline({foot, foot + Vec2{-6.0 * swell, -6.0 * swell}}), 0.4});
  }
  return lines;
}

// The same drawing by an unsteady hand: every line shifted, turned and stretched a little as a
// whole (placing error), and bent by a slow wave (wobble). Both are normal; rms about `mm`.
inline Linework by_hand(const Linework& lines, double mm, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  const double size = std::max(lines.ink_box().width(), lines.ink_box().height());
  Linework out;
  for (const Stroke& s : lines.strokes) {
    const Vec2 shift{0.5 * mm * normal(random), 0.5 * mm * normal(random)};
    const double turn = 0.5 * mm / size * normal(random);
    const double stretch = 1.0 + 0.5 * mm / size * normal(random);
    const Vec2 middle = s.path.box().centre();
    const double phase = 6.28 * std::abs(normal(random));
    std::vector<Vec2> corners;
    for (const Vec2 p : sample(s.path, 0.5)) {
      const Vec2 r = (p - middle) * stretch;
      const Vec2 wave{std::sin(p.y / 4.0 + phase), std::sin(p.x / 4.0 + 2.0 * phase)};
      corners.push_back(middle + Affine::turn_deg(degrees(turn)) * r + shift + wave * (0.7 * mm));
    }
    out.strokes.push_back({Path::polyline(corners, s.path.closed), s.width_mm});
  }
  return out;
}

}  // namespace underdraw::shapes
