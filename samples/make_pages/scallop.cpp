// A scallop shell: seventeen ribs from the hinge, growth lines across them, two ears.
#include <cmath>

#include "sketch.h"
#include "sketches.h"

namespace harbour {
namespace {

using namespace underdraw;

constexpr int kRibs = 17;
constexpr double kSpread_deg = 112.0;  // of the rim, from the top to either side
constexpr Vec2 kHinge{0.0, 17.0};

// Where the groove between ribs meets the rim: grooves 0 to kRibs, left to right.
Vec2 on_rim(double groove, double grow) {
  const double turn = radians(kSpread_deg * (2.0 * groove / kRibs - 1.0));
  return {19.2 * grow * std::sin(turn), -0.3 - 17.6 * grow * std::cos(turn)};
}

// A groove bows outward on its way from the hinge to the rim.
Path groove(double index) {
  const Vec2 rim = on_rim(index, 1.0);
  const Vec2 way = rim - kHinge;
  const double lean = 2.0 * index / kRibs - 1.0;
  const Vec2 root = kHinge + Vec2{lean * 1.6, 0.0};
  const Vec2 arriving = normalized(Vec2{rim.x * 1.25, rim.y - 4.0}) * (0.38 * length(way));
  return sweep(root, (rim - root) * 0.30, rim, arriving);
}

// What is drawn on the right is drawn on the left, point for point.
void both(Sketch& sketch, const Path& right, bool fine = false) {
  const Path left = transformed(right, Affine::mirror_x());
  fine ? sketch.fine(right) : sketch.line(right);
  fine ? sketch.fine(left) : sketch.line(left);
}

// A line across the shell at a share of every groove, swelling on each rib. The right half is made
// and the left half is its mirror image.
Path across(double share, double swell) {
  const auto on_groove = [&](double index) { return Track(groove(index)).at(share); };
  const Vec2 middle{0.0, 2.0};
  Path right;
  for (int i = kRibs / 2; i < kRibs; ++i) {
    const Vec2 a = on_groove(i);
    const Vec2 b = on_groove(i + 1);
    const double high = 0.20 * swell * distance(a, b);
    // A rib's end is round: up beside the groove, over, and down.
    const Vec2 out_a = normalized(normalized(a - middle) + normalized(a - kHinge)) * high;
    const Vec2 out_b = normalized(normalized(b - middle) + normalized(b - kHinge)) * high;
    const Cubic rib{a, mix(a, b, 0.10) + 1.5 * out_a, mix(a, b, 0.90) + 1.5 * out_b, b};
    right.append(i == kRibs / 2 ? split(rib, 0.5).after : rib);  // the middle rib is cut at x = 0
  }
  right.points.front().x = 0.0;
  return joined({reversed(transformed(right, Affine::mirror_x())), right});
}

// Two flaps beside the hinge, and the beak between them.
void draw_ears(Sketch& sketch) {
  const Track side(groove(kRibs));
  const Vec2 shoulder = side.at(0.04);
  const Path beak = sweep({0.0, kHinge.y + 1.3}, {0.9, 0.0}, shoulder, {0.5, -0.8});
  sketch.line(joined({reversed(transformed(beak, Affine::mirror_x())), beak}));
  const Vec2 corner{10.4, 15.9};
  both(sketch, sweep(shoulder + Vec2{-0.35, 0.45}, {2.6, -0.1}, corner, {2.4, -0.7}));
  both(sketch, sweep(corner, {-1.1, -1.7}, side.at(0.60), {1.2, -1.5}));
  both(sketch, sweep({8.2, 16.35}, {-0.8, -1.4}, side.at(0.47), {0.8, -1.2}), true);
  both(sketch, sweep({6.0, 16.7}, {-0.5, -0.9}, side.at(0.34), {0.5, -0.8}), true);
}

}  // namespace

Linework draw_scallop() {
  Sketch sketch;
  sketch.line(across(1.0, 1.5));
  for (int i = kRibs / 2 + 1; i < kRibs; ++i) {
    const bool long_one = (i - kRibs / 2) % 2 == 1;
    both(sketch, part(groove(i), long_one ? 0.25 : 0.36, 1.0));
  }
  both(sketch, part(groove(kRibs), 0.04, 1.0));
  for (const double share : {0.50, 0.73, 0.88}) sketch.fine(across(share, 0.8));
  // A short ray on each rib's end.
  sketch.fine(
      Path::polyline({{0.0, on_rim(kRibs / 2.0, 0.97).y}, {0.0, on_rim(kRibs / 2.0, 0.84).y}}));
  for (int i = kRibs / 2 + 1; i < kRibs; ++i)
    both(sketch, part(groove(i + 0.5), 0.91, 0.985), true);
  // Where the shell was young.
  sketch.fine(across(0.14, 0.0));
  draw_ears(sketch);
  return sketch.lines();
}

}  // namespace harbour
