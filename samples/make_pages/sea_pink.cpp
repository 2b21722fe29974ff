// Sea pink: a globe of five-petalled florets on a slender stem, a bud, a tuft of grassy leaves.
#include <cmath>

#include "sketch.h"
#include "sketches.h"

namespace harbour {
namespace {

using namespace underdraw;

// A notched petal that grows from the origin along +x; its neck is open.
Path petal(double length, double half_width) {
  const Vec2 neck{0.22 * length, 0.12 * half_width};
  const Vec2 lobe{0.98 * length, 0.52 * half_width};
  const Vec2 notch{0.86 * length, 0.0};
  const Path lower = joined(
      {sweep(neck, {0.25 * length, 0.75 * half_width}, lobe, {0.16 * length, -0.55 * half_width}),
       sweep(lobe,
             {0.05 * length, -0.18 * half_width},
             notch,
             {-0.10 * length, -0.12 * half_width})});
  const Path upper = transformed(lower, {1, 0, 0, 0, -1, 0});
  return joined({lower, reversed(upper)});
}

// Five petals and a dot; `squash` is how far the floret is turned away, along its direction.
void draw_floret(Sketch& sketch,
                 const Affine& head,
                 Vec2 at,
                 double radius,
                 double turn_deg,
                 double squash,
                 double away_deg) {
  const Affine face = head * Affine::translate(at) * Affine::turn_deg(away_deg) *
                      Affine{squash, 0, 0, 0, 1, 0} * Affine::turn_deg(turn_deg - away_deg);
  sketch.frame(face);
  sketch.dot({0, 0}, 0.65);
  for (int i = 0; i < 5; ++i) {
    sketch.frame(face * Affine::turn_deg(72.0 * i));
    sketch.line(petal(radius, 0.70 * radius));
    sketch.cover(joined({petal(radius, 0.70 * radius)}, true), 0.2);
  }
  sketch.frame(face);
  sketch.cover(spline({polar(0.3 * radius, 0),
                       polar(0.3 * radius, 90),
                       polar(0.3 * radius, 180),
                       polar(0.3 * radius, 270)},
                      true));
}

// Petals that look out from behind.
void draw_rim(Sketch& sketch,
              const Affine& head,
              double radius,
              double reach,
              double half,
              int count,
              double first_deg,
              double squash) {
  for (int i = 0; i < count; ++i) {
    const double deg = first_deg + 360.0 * i / count;
    const double wave = 1.0 + 0.06 * std::sin(2.7 * i);
    sketch.frame(head * Affine::scale(1.0) * Affine{1, 0, 0, 0, squash, 0} * Affine::turn_deg(deg) *
                 Affine::translate({radius - reach, 0}));
    const Path outline = petal(reach * wave, half);
    sketch.line(outline);
    sketch.cover(joined({outline}, true));
  }
}

// A narrow leaf whose two edges meet at the tip.
void draw_leaf(Sketch& sketch, const std::vector<Vec2>& through, double half) {
  const Track track(spline(through));
  const auto width = [&](double u) { return half * std::pow(1.0 - u, 0.7) * (0.75 + 0.6 * u); };
  const Path left = beside(
      track, [&](double u) { return -width(u); }, 0.0, 1.0, 8);
  const Path right = beside(track, width, 0.0, 1.0, 8);
  sketch.line(joined({left, reversed(right)}));
  sketch.cover(joined({left, reversed(right)}, true), 0.12);
}

void draw_stem(Sketch& sketch, const std::vector<Vec2>& through, double half) {
  const Track track(spline(through));
  const Path left = beside(track, [&](double) { return -half; });
  const Path right = beside(track, [&](double) { return half; });
  sketch.line(left);
  sketch.line(right);
  sketch.cover(joined({left, reversed(right)}, true));
}

// Papery bracts under a head: pointed leaves that rise from the stem's end at (0, low).
void draw_bracts(Sketch& sketch, const Affine& head, double radius, double low) {
  sketch.frame(head);
  for (const double side : {0.0, -1.0, 1.0}) {
    const Vec2 base{side * 0.35, low};
    const Vec2 tip{side * 0.66 * radius, 0.55 * radius};
    const Vec2 way = tip - base;
    const Vec2 wide = perpendicular(normalized(way)) * (0.24 * radius);
    const Path left = sweep(base, way * 0.3 - wide * 1.5, tip, way * 0.3 + wide * 0.8);
    const Path right = sweep(base, way * 0.3 + wide * 1.5, tip, way * 0.3 - wide * 0.8);
    sketch.line(left);
    sketch.line(right);
    sketch.cover(joined({left, reversed(right)}, true));
  }
}

}  // namespace

Linework draw_sea_pink() {
  Sketch sketch;

  const Affine head = Affine::translate({1.6, -14.5}) * Affine::turn_deg(6);
  draw_floret(sketch, head, {-0.4, 0.5}, 3.5, 12, 1.0, 0);
  for (int i = 0; i < 6; ++i) {
    const double deg = 60.0 * i + 22.0;
    draw_floret(sketch, head, polar(5.2, deg), 3.1, 40.0 * i + 8, 0.78, deg);
  }
  draw_rim(sketch, head, 8.9, 3.6, 1.95, 13, 5, 0.96);
  draw_bracts(sketch, head, 8.3, 10.6);

  const Affine bud = Affine::translate({-10.4, -3.6}) * Affine::turn_deg(-14);
  draw_floret(sketch, bud, {0.0, -0.4}, 2.4, -18, 0.95, 90);
  draw_rim(sketch, bud, 4.3, 2.6, 1.5, 9, -10, 1.0);
  draw_bracts(sketch, bud, 4.3, 6.4);

  sketch.frame({});
  draw_leaf(sketch, {{-0.6, 24.0}, {-3.0, 18.6}, {-7.6, 16.4}, {-13.2, 18.4}}, 0.85);
  draw_leaf(sketch, {{0.8, 24.0}, {2.6, 18.0}, {6.4, 12.6}, {12.2, 11.4}}, 0.85);
  draw_leaf(sketch, {{-0.2, 24.0}, {-1.5, 17.0}, {-2.4, 11.5}, {-1.9, 5.4}}, 0.8);
  draw_stem(sketch, {{0.6, -4.0}, {0.2, 4.0}, {0.9, 12.0}, {0.4, 23.0}}, 0.52);
  draw_leaf(sketch, {{1.2, 24.0}, {4.0, 20.4}, {8.4, 18.6}, {14.4, 21.0}}, 0.8);
  draw_leaf(sketch, {{1.0, 24.0}, {2.2, 16.0}, {3.4, 9.0}, {7.2, 3.6}}, 0.8);
  draw_leaf(sketch, {{-0.8, 24.0}, {-4.0, 21.6}, {-8.0, 20.6}, {-12.6, 23.0}}, 0.8);
  draw_stem(sketch, {{-8.9, 2.4}, {-6.6, 8.0}, {-3.0, 14.0}, {-0.6, 23.0}}, 0.48);
  draw_leaf(sketch, {{-0.6, 24.0}, {-3.4, 16.6}, {-7.8, 12.6}, {-14.2, 11.6}}, 0.8);
  draw_leaf(sketch, {{0.8, 24.0}, {4.2, 16.6}, {9.4, 14.6}, {15.4, 15.6}}, 0.8);
  // The cushion it grows from.
  sketch.line(spline({{-6.4, 25.2}, {-3.4, 23.9}, {0.0, 24.5}, {3.6, 23.8}, {7.4, 25.4}}));
  return sketch.lines();
}

}  // namespace harbour
