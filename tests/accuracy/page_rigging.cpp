#include "accuracy/page_motifs.h"
#include "sketch.h"

namespace underdraw::test {
namespace {

using harbour::polar;
using harbour::Sketch;
using harbour::spline;
using harbour::sweep;
using harbour::Track;

// Two bowed lines that cut at the origin.
void add_crossing(Sketch& sketch, double angle_deg, double half_length) {
  for (const double hand : {-1.0, 1.0}) {
    const Vec2 way = polar(half_length, hand * angle_deg / 2.0 - 80.0);
    const Vec2 bow = perpendicular(way) * (0.09 * hand);
    sketch.line(spline({-way + bow, Vec2{}, way * 0.96 + bow}));
  }
}

Path spiral(double first_radius, double pitch, double turns) {
  std::vector<Vec2> through;
  const int steps = static_cast<int>(turns * 14.0);
  for (int i = 0; i <= steps; ++i) {
    const double turn = turns * i / steps;
    through.push_back(polar(first_radius + pitch * turn, 360.0 * turn));
  }
  return spline(through);
}

Path ring(Vec2 middle, double width, double height) {
  std::vector<Vec2> through;
  for (int i = 0; i < 8; ++i) {
    const Vec2 p = polar(0.5, 45.0 * i);
    through.push_back(middle + Vec2{p.x * width, p.y * height});
  }
  return spline(through, true);
}

}  // namespace

Linework rigging(double pen_mm, double closest_mm) {
  Sketch sketch(pen_mm);

  // Crossings, steep to shallow.
  double x = 5.0;
  for (const double angle : {90.0, 70.0, 52.0, 38.0, 28.0, 20.0}) {
    sketch.frame(Affine::translate({x, 8.0}));
    add_crossing(sketch, angle, 6.5);
    x += angle > 60.0 ? 12.5 : 10.5;
  }
  // Three lines through one point.
  sketch.frame(Affine::translate({72.0, 8.0}));
  for (const double deg : {10.0, 68.0, 131.0}) {
    sketch.line(spline({polar(-5.5, deg), {}, polar(5.5, deg + 6.0)}));
  }

  // Ends on a line, upright to slanting, from both sides.
  sketch.frame(Affine::translate({0.0, 25.0}));
  const Path beam = spline({{0, 0.6}, {16, -0.6}, {32, 0.8}, {46, 0.0}});
  const Track along(beam);
  sketch.line(beam);
  double share = 0.06;
  for (const double angle : {90.0, 66.0, 48.0, 34.0, 24.0}) {
    const Vec2 foot = along.at(share);
    const double up = degrees(std::atan2(along.ahead(share).y, along.ahead(share).x)) - angle;
    sketch.line(sweep(foot, polar(2.0, up), foot + polar(6.4, up - 7.0), polar(2.0, up - 16.0)));
    share += 0.19;
  }
  share = 0.17;
  for (const double angle : {90.0, 57.0, 41.0, 29.0}) {
    const Vec2 foot = along.at(share);
    const double down = degrees(std::atan2(along.ahead(share).y, along.ahead(share).x)) + angle;
    sketch.line(
        sweep(foot, polar(2.0, down), foot + polar(6.0, down + 8.0), polar(2.0, down + 17.0)));
    share += 0.2;
  }

  // Forks: three even arms, a narrow fork, four arms.
  sketch.frame(Affine::translate({56.0, 25.5}));
  for (const double deg : {-90.0, 32.0, 152.0}) {
    sketch.line(sweep({}, polar(2.0, deg), polar(5.6, deg + 9.0), polar(2.0, deg + 22.0)));
  }
  sketch.frame(Affine::translate({67.0, 31.0}));
  for (const double deg : {-110.0, -72.0, 88.0}) {
    sketch.line(sweep({}, polar(2.2, deg), polar(6.0, deg + 4.0), polar(2.2, deg + 10.0)));
  }
  sketch.frame(Affine::translate({77.0, 25.0}));
  for (const double deg : {-78.0, 20.0, 95.0, 190.0}) {
    sketch.line(sweep({}, polar(1.8, deg), polar(5.2, deg - 6.0), polar(1.8, deg - 14.0)));
  }

  // Curls that leave a line along it, and one that comes back to it.
  sketch.frame(Affine::translate({0.0, 42.0}));
  const Path ground = spline({{0, 0}, {12, -1.4}, {25, 0.9}, {36, -0.6}});
  const Track way(ground);
  sketch.line(ground);
  for (const double at : {0.08, 0.62}) {
    sketch.line(sweep(way.at(at),
                      way.ahead(at) * 4.0,
                      way.at(at) + way.ahead(at) * 7.0 - way.across(at) * 4.2,
                      way.across(at) * -2.6));
  }
  sketch.line(sweep(way.at(0.24),
                    way.ahead(0.24) * 6.5 + way.across(0.24) * 3.6,
                    way.at(0.9),
                    way.ahead(0.9) * 6.5 + way.across(0.9) * -5.5));
  sketch.line(sweep(way.at(0.36),
                    way.ahead(0.36) * 3.4,
                    way.at(0.36) + way.ahead(0.36) * 6.0 + way.across(0.36) * 4.0,
                    way.across(0.36) * 2.4));

  // Side by side.
  sketch.frame(Affine::translate({43.0, 38.0}));
  double y = 0.0;
  double step = 1.5;
  while (step >= closest_mm - 1e-9) {
    sketch.line(spline({{0.0, y}, {7.0, y + 0.7}, {15.0, y - 0.6}, {22.0, y + 0.3}}));
    y += step;
    step -= 0.125;
  }

  // Spirals, loops, dots.
  sketch.frame(Affine::translate({76.0, 43.5}));
  sketch.line(spiral(0.5, 1.9, 3.4));
  sketch.frame(Affine::translate({10.0, 56.5}) * Affine::turn_deg(140.0));
  sketch.line(spiral(0.4, 3.0 * pen_mm + 0.2, 3.0));
  sketch.frame(Affine::translate({20.0, 54.0}));
  x = 0.0;
  for (const double size : {0.9, 1.2, 1.6, 2.0, 2.6}) {
    sketch.line(ring({x, 0.0}, size, 0.86 * size));
    x += size + 1.6;
  }
  // A loop in a line.
  sketch.line(spline(
      {{0.0, 6.4}, {5.0, 6.6}, {8.3, 5.4}, {7.6, 4.0}, {6.9, 5.3}, {10.0, 6.7}, {15.0, 6.2}}));
  x = 0.0;
  for (const double size : {0.3, 0.4, 0.5, 0.6, 0.75, 0.9}) {
    sketch.dot({x, 10.0}, size);
    x += 2.6;
  }
  return sketch.lines();
}

}  // namespace underdraw::test
