// Kelp in a current: two stalks twining from one holdfast, blades on air bladders, a pebble.
#include <cmath>

#include "sketch.h"
#include "sketches.h"

namespace harbour {
namespace {

using namespace underdraw;

constexpr Affine kSize = Affine::scale(0.9);

// An air bladder along the direction of its stalk, with a light on it.
void draw_bladder(Sketch& sketch, Vec2 at, double deg, double long_mm, double across_mm) {
  sketch.frame(kSize * Affine::translate(at) * Affine::turn_deg(deg));
  const double a = long_mm / 2.0;
  const double b = across_mm / 2.0;
  sketch.shape(spline({{-a, 0},
                       {-0.62 * a, -0.72 * b},
                       {0.1 * a, -b},
                       {0.8 * a, -0.62 * b},
                       {a, 0.0},
                       {0.8 * a, 0.62 * b},
                       {0.1 * a, b},
                       {-0.62 * a, 0.72 * b}},
                      true));
  sketch.frame(kSize);
}

// A strap with ruffled edges and a midrib.
void draw_blade(Sketch& sketch, const std::vector<Vec2>& through, double half, double phase) {
  const Track track(spline(through));
  const double ruffles = std::round(track.length() / 4.0);
  const auto width = [&](double u) {
    return half * (0.42 + 0.58 * (1.0 - std::pow(1.0 - u, 4.0))) *
           std::pow(1.0 - std::pow(u, 2.6), 0.8);
  };
  const auto edge = [&](double hand) {
    return [=, &width](double u) {
      const double turn = 2.0 * std::numbers::pi * ruffles * u + phase + (hand > 0 ? 0.0 : 2.4);
      const double ruffle = 0.34 * std::min(1.0, 5.0 * u) * std::sin(turn) * std::pow(1.0 - u, 0.4);
      return hand * (width(u) + (width(u) > 0.5 ? ruffle : ruffle * 2.0 * width(u)));
    };
  };
  const Path left = beside(track, edge(-1.0), 0.0, 1.0, 36);
  const Path right = beside(track, edge(1.0), 0.0, 1.0, 36);
  sketch.line(joined({left, reversed(right)}));
  sketch.line(beside(
      track, [&](double u) { return 0.1 * half * std::sin(9.0 * u + phase); }, 0.05, 0.84, 12));
  // Folds that follow the midrib for a while.
  sketch.fine(beside(
      track, [&](double u) { return 0.52 * width(u); }, 0.20, 0.46, 6));
  sketch.fine(beside(
      track, [&](double u) { return -0.52 * width(u); }, 0.40, 0.68, 6));
  sketch.cover(joined({left, reversed(right)}, true), 0.15);
}

void draw_stalk(Sketch& sketch, const Path& middle, double half_foot, double half_tip) {
  const Track track(middle);
  const auto half = [&](double u) { return half_foot + (half_tip - half_foot) * u; };
  const Path left = beside(track, [&](double u) { return -half(u); });
  const Path right = beside(track, half);
  sketch.line(left);
  sketch.line(right);
  sketch.cover(joined({left, reversed(right)}, true), 0.25);
}

}  // namespace

Linework draw_kelp() {
  Sketch sketch;
  sketch.frame(kSize);

  // Rising bubbles.
  sketch.line(spline({{10.2, 14.0}, {11.0, 13.2}, {11.8, 14.0}, {11.0, 14.8}}, true));
  sketch.dot({12.5, 11.4}, 0.7);
  sketch.dot({11.3, 9.5}, 0.55);

  const Path main_stalk =
      spline({{0.3, 19.0}, {-2.2, 11.0}, {1.6, 2.5}, {-0.6, -5.0}, {1.4, -12.0}});
  const Path second_stalk =
      spline({{1.1, 19.0}, {3.4, 12.0}, {-1.8, 5.0}, {-4.6, -1.0}, {-5.0, -7.0}});
  struct Leafing {
    const Path& stalk;
    double share, deg, half;
    std::vector<Vec2> blade;  // from the bladder's far end
  };
  const std::vector<Leafing> leafings = {
      {main_stalk, 0.36, -20, 2.3, {{0, 0}, {4.6, -0.8}, {8.8, -3.6}, {13.0, -4.6}, {17.0, -7.8}}},
      {second_stalk,
       0.66,
       -150,
       2.2,
       {{0, 0}, {-4.0, -1.9}, {-8.0, -2.9}, {-11.6, -5.6}, {-15.2, -6.6}}},
      {main_stalk,
       0.22,
       -168,
       2.3,
       {{0, 0}, {-4.4, -0.5}, {-8.6, -2.4}, {-12.6, -2.8}, {-16.2, -5.2}}},
      {main_stalk, 0.64, -48, 2.3, {{0, 0}, {3.6, -2.8}, {7.4, -4.9}, {10.6, -8.4}, {14.8, -10.6}}},
      {main_stalk,
       0.88,
       -128,
       2.1,
       {{0, 0}, {-1.9, -3.8}, {-4.8, -6.8}, {-6.4, -10.8}, {-9.6, -13.8}}},
      {main_stalk, 1.00, -58, 2.3, {{0, 0}, {2.4, -3.1}, {4.0, -6.9}, {7.0, -9.9}, {8.6, -14.2}}},
      {second_stalk,
       1.00,
       -92,
       2.2,
       {{0, 0}, {0.4, -4.0}, {-0.5, -8.0}, {0.9, -12.2}, {0.6, -16.8}}},
  };
  const auto neck = [](const Leafing& l) {
    return Track(l.stalk).at(l.share) + polar(l.share < 1.0 ? 1.6 : 0.1, l.deg);
  };
  for (const Leafing& l : leafings) {
    draw_bladder(sketch, neck(l) + polar(1.3, l.deg), l.deg, 2.6, 2.2);
  }
  for (const Leafing& l : leafings) {
    const Vec2 root = Track(l.stalk).at(l.share) + polar(0.6, l.deg);
    if (l.share < 1.0) sketch.line(sweep(root, polar(0.4, l.deg - 12), neck(l), polar(0.4, l.deg)));
  }
  double phase = 0.0;
  for (const Leafing& l : leafings) {
    std::vector<Vec2> through = l.blade;
    for (Vec2& p : through) p += neck(l) + polar(2.45, l.deg);
    draw_blade(sketch, through, l.half, phase += 1.1);
  }
  draw_stalk(sketch, main_stalk, 0.62, 0.42);
  draw_stalk(sketch, second_stalk, 0.6, 0.42);

  // Holdfast: forked fingers that grip a pebble.
  struct Finger {
    Vec2 root, knee, foot;
  };
  const Finger fingers[] = {{{0.2, 18.4}, {-0.8, 20.6}, {-0.6, 23.2}},
                            {{0.9, 18.4}, {1.9, 20.6}, {2.6, 22.8}},
                            {{-0.2, 18.4}, {-2.6, 20.0}, {-3.4, 22.6}},
                            {{1.4, 18.4}, {4.0, 19.9}, {5.2, 22.0}}};
  for (const Finger& f : fingers) {
    const Track middle(spline({f.root, f.knee, f.foot}));
    const auto half = [](double u) { return 0.52 * std::pow(1.0 - u, 0.6); };
    const Path left = beside(
        middle, [&](double u) { return -half(u); }, 0.0, 1.0, 6);
    const Path right = beside(middle, half, 0.0, 1.0, 6);
    sketch.line(joined({left, reversed(right)}));
    sketch.cover(joined({left, reversed(right)}, true));
  }
  sketch.shape(spline({{-6.2, 22.8},
                       {-4.4, 20.3},
                       {0.2, 19.4},
                       {4.4, 20.0},
                       {6.8, 22.2},
                       {4.6, 24.6},
                       {-0.6, 25.0},
                       {-5.0, 24.6}},
                      true));
  sketch.line(spline(
      {{5.0, 20.6}, {7.8, 20.2}, {10.4, 21.8}, {9.8, 24.0}, {7.0, 24.8}, {4.2, 24.8}}, true));
  return sketch.lines();
}

}  // namespace harbour
