#include "repeat/cut_behind.h"

#include <gtest/gtest.h>

#include "core/error.h"
#include "repeat/edge_field.h"
#include "repeat/touching.h"
#include "support/random_rings.h"
#include "support/second_polygons.h"

namespace underdraw {
namespace {

using test::Dice;
using test::SecondPolygons;

constexpr double kPi = std::numbers::pi;

Path circle(Vec2 centre, double radius) {
  // Four cubics, 0.03 % off a circle.
  const double k = radius * 0.5522847498;
  Path path;
  path.closed = true;
  for (int i = 0; i < 4; ++i) {
    const Affine turn = Affine::translate(centre) * Affine::turn_deg(90.0 * i);
    path.append({turn * Vec2{radius, 0},
                 turn * Vec2{radius, k},
                 turn * Vec2{k, radius},
                 turn * Vec2{0, radius}});
  }
  path.points.back() = path.points.front();
  return path;
}

Linework one(const Path& path, double width = 0.5) { return {{{path, width}}, {}}; }

// Distance to the outlines and side by going through all edges: slow, and another way.
double slow_distance(const Rings& rings, Vec2 p) {
  double least = 1e9;
  bool inside = false;
  for (const auto& ring : rings) {
    bool in = false;
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Vec2 a = ring[i];
      const Vec2 b = ring[(i + 1) % ring.size()];
      const Vec2 d = b - a;
      const double t = std::clamp(dot(p - a, d) / dot(d, d), 0.0, 1.0);
      least = std::min(least, distance(p, mix(a, b, t)));
      if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) {
        in = !in;
      }
    }
    inside = inside || in;
  }
  return inside ? 0.0 : least;
}

double width_at(const Stroke& stroke, double share) {
  if (stroke.widths_mm.size() < 2) return stroke.width_mm;
  const double at = share * static_cast<double>(stroke.widths_mm.size() - 1);
  const std::size_t i = std::min(static_cast<std::size_t>(at), stroke.widths_mm.size() - 2);
  return std::lerp(stroke.widths_mm[i], stroke.widths_mm[i + 1], at - static_cast<double>(i));
}

double area_of(const std::vector<Area>& areas) {
  double sum = 0.0;
  for (const Area& area : areas) {
    Rings rings;
    for (const Path& ring : area.rings) {
      rings.push_back(flatten(ring, 0.001));
      rings.back().pop_back();
    }
    sum += SecondPolygons::even_odd(rings).area();
  }
  return sum;
}

const Rings kSquare = ring_of(Box{{10, -10}, {20, 10}});

TEST(CutBehind, AStraightLineEndsAGapAndHalfAPenBefore) {
  const CutResult cut = cut_behind(one(Path::polyline({{0, 0}, {30, 0}})), kSquare);
  ASSERT_EQ(cut.lines.strokes.size(), 2U);
  EXPECT_NEAR(cut.lines.strokes[0].path.points.front().x, 0.0, 1e-12);
  EXPECT_NEAR(cut.lines.strokes[0].path.points.back().x, 10.0 - 0.3 - 0.25, 1e-9);
  EXPECT_NEAR(cut.lines.strokes[1].path.points.front().x, 20.0 + 0.3 + 0.25, 1e-9);
  EXPECT_NEAR(cut.hidden_length_mm, 10.0 + 2.0 * 0.55, 1e-9);
  EXPECT_EQ(cut.crumbs, 0U);
}

TEST(CutBehind, WhatIsFreeComesBackAsItWasAndWhatIsHiddenIsGone) {
  Linework lines = one(circle({0, 0}, 4));
  lines.strokes.push_back({Path::polyline({{12, 0}, {18, 3}}), 0.5});
  lines.strokes.push_back({Path{{{9.6, 0}}, false}, 0.4});  // dots
  lines.strokes.push_back({Path{{{9.2, 0}}, false}, 0.4});
  lines.areas.push_back({{circle({-8, 0}, 2)}});
  lines.areas.push_back({{circle({15, 0}, 2)}});
  const CutResult cut = cut_behind(lines, kSquare);
  ASSERT_EQ(cut.lines.strokes.size(), 2U);
  EXPECT_EQ(cut.lines.strokes[0].path.points, lines.strokes[0].path.points);
  EXPECT_TRUE(cut.lines.strokes[0].path.closed);
  EXPECT_EQ(cut.lines.strokes[1].path.points.front(), (Vec2{9.2, 0}));
  EXPECT_EQ(cut.hidden_dots, 1U);
  ASSERT_EQ(cut.lines.areas.size(), 1U);
  EXPECT_EQ(cut.lines.areas[0].rings[0].points, lines.areas[0].rings[0].points);
  EXPECT_NEAR(cut.hidden_length_mm, std::hypot(6.0, 3.0), 1e-9);
  EXPECT_NEAR(cut.hidden_area_mm2, kPi * 4.0, 0.05);
  const CutResult none = cut_behind(lines, {});
  EXPECT_EQ(none.lines.strokes.size(), lines.strokes.size());
  EXPECT_EQ(none.removed_length_mm() + none.removed_area_mm2(), 0.0);
}

TEST(CutBehind, CurvesStayTheCurvesTheyWere) {
  const Path whole = circle({10, 0}, 6);  // its left half lies in front of the square
  const CutResult cut = cut_behind(one(whole), kSquare);
  ASSERT_EQ(cut.lines.strokes.size(), 1U);
  const Path& left = cut.lines.strokes[0].path;
  EXPECT_FALSE(left.closed);
  EXPECT_EQ(left.piece_count(), 2U) << "joined over the start, and no polyline";
  for (const Vec2 p : sample(left, 0.1)) {
    EXPECT_NEAR(distance(p, {10, 0}), 6.0, 0.002);
    EXPECT_LE(p.x, 9.45 + 1e-9);
  }
  EXPECT_NEAR(left.points.front().x, 9.45, 1e-9);
  EXPECT_NEAR(left.points.back().x, 9.45, 1e-9);
}

TEST(CutBehind, AClosedLineRunsOnOverItsStart) {
  const Path whole = circle({16, 0}, 8);  // starts at (24, 0), in the free part
  const CutResult cut = cut_behind(one(whole), ring_of(Box{{5, -3}, {10, 3}}));
  ASSERT_EQ(cut.lines.strokes.size(), 1U);
  EXPECT_NEAR(cut.lines.strokes[0].path.length() + cut.hidden_length_mm, whole.length(), 1e-6);
}

TEST(CutBehind, CrumbsAreDroppedAndCounted) {
  Rings comb;
  for (int i = 0; i < 4; ++i) {
    comb.push_back(ring_of(Box{{2.0 * i, -1}, {2.0 * i + 0.5, 1}})[0]);
  }
  const Linework line = one(Path::polyline({{-5, 0}, {12, 0}}), 0.5);
  const CutOptions options{.gap_mm = 0.3, .least_piece_mm = 0.5};
  const CutResult cut = cut_behind(line, comb, options);  // 1.5 mm less 2 × 0.55 between teeth
  EXPECT_EQ(cut.crumbs, 3U);
  EXPECT_NEAR(cut.crumb_length_mm, 3 * 0.4, 1e-9);
  EXPECT_EQ(cut.lines.strokes.size(), 2U);
  EXPECT_EQ(cut_behind(line, comb, {.least_piece_mm = 0.3}).lines.strokes.size(), 5U);
  // A short line that no cut touches is no crumb.
  EXPECT_EQ(cut_behind(one(Path::polyline({{-5, 0}, {-4.8, 0}})), comb).lines.strokes.size(), 1U);
}

TEST(CutBehind, WidthsAlongALineAreCutToMatch) {
  Linework lines = one(Path::polyline({{0, 0}, {40, 0}}), 0.8);
  for (int i = 0; i <= 8; ++i) lines.strokes[0].widths_mm.push_back(0.4 + 0.1 * i);
  const CutResult cut = cut_behind(lines, kSquare);
  ASSERT_EQ(cut.lines.strokes.size(), 2U);
  for (const Stroke& piece : cut.lines.strokes) {
    for (int i = 0; i <= 20; ++i) {
      const double x = std::lerp(piece.path.points.front().x, piece.path.points.back().x, i / 20.0);
      EXPECT_NEAR(width_at(piece, i / 20.0), 0.4 + 0.8 * x / 40.0, 1e-6) << x;
    }
  }
  // x + half of the width there + gap = 10
  EXPECT_NEAR(cut.lines.strokes[0].path.points.back().x, (10.0 - 0.3 - 0.2) / 1.01, 1e-6);
}

TEST(CutBehind, AWideLineIsCutAsAPaintedShape) {
  // A stripe of 8 mm that the square covers by 1 mm at one side keeps its other 7.
  const Path stripe = Path::polyline({{7, -30}, {7, 30}});
  const CutResult cut = cut_behind(one(stripe, 8.0), kSquare);
  EXPECT_TRUE(cut.lines.strokes.empty());
  ASSERT_EQ(cut.lines.areas.size(), 1U);
  const double whole = 60.0 * 8.0 + kPi * 16.0;
  // The square grown by the gap (and the tolerance), where it lies over the stripe.
  const double grown = 0.305;
  const double covered = (1.0 + grown) * 20.0 + 2.0 * (1.0 * grown + kPi * grown * grown / 4.0);
  EXPECT_NEAR(cut.hidden_area_mm2, covered, 0.01);
  EXPECT_NEAR(area_of(cut.lines.areas), whole - covered, 0.15);
}

TEST(CutBehind, WhiteThatSeveralOutlinesCloseInStaysWhite) {
  // Four bars round a room of 10 by 10.
  const Rings bars = {ring_of(Box{{0, 0}, {14, 2}})[0],
                      ring_of(Box{{0, 12}, {14, 14}})[0],
                      ring_of(Box{{0, 1}, {2, 13}})[0],
                      ring_of(Box{{12, 1}, {14, 13}})[0]};
  const CutResult cut = cut_behind(one(Path::polyline({{-5, 7}, {20, 7}})), bars);
  ASSERT_EQ(cut.lines.strokes.size(), 3U);
  EXPECT_NEAR(cut.lines.strokes[1].path.length(), 10.0 - 1.1, 1e-9);
  Linework floor;
  floor.areas.push_back({{Path::polyline({{3, 3}, {11, 3}, {11, 11}, {3, 11}}, true)}});
  EXPECT_EQ(cut_behind(floor, bars).hidden_area_mm2, 0.0);
}

TEST(CutBehind, RefusesOptionsOutOfRange) {
  EXPECT_THROW(cut_behind({}, {}, {.gap_mm = 0.6}), OptionError);
  EXPECT_THROW(cut_behind({}, {}, {.gap_mm = -0.1}), OptionError);
  EXPECT_THROW(cut_behind({}, {}, {.least_piece_mm = -1.0}), OptionError);
  EXPECT_THROW(cut_behind(one(Path::polyline({{0, 0}, {1, 1}})), {{{0, 0}, {1, 0}, {1e9, 1}}}),
               GeometryError);
}

TEST(EdgeField, DistancesAreThoseOfAllEdges) {
  Dice dice(5);
  for (int round = 0; round < 20; ++round) {
    const Rings rings = {test::random_ring(dice, {0, 0}, 20.0, 60)};
    const EdgeField field(rings, 1.5);
    for (int i = 0; i < 300; ++i) {
      const Vec2 p{dice.uniform(-25.0, 25.0), dice.uniform(-25.0, 25.0)};
      const double slow = slow_distance(rings, p);
      const double fast = field.at(p);
      EXPECT_EQ(fast < 0.0, slow == 0.0) << p.x << " " << p.y;
      if (slow > 0.0 && slow <= 1.5) {
        EXPECT_NEAR(fast, slow, 1e-9);
      } else if (slow > 0.0) {
        EXPECT_GE(fast, 1.5);
        EXPECT_LE(fast, slow + 1e-9);
      }
    }
  }
}

// Curvy lines of several widths over a field of shapes, some of which overlap.
Linework random_lines(Dice& dice, int count) {
  Linework lines;
  const auto spot = [&] { return Vec2{dice.uniform(-5.0, 45.0), dice.uniform(-5.0, 45.0)}; };
  for (int i = 0; i < count; ++i) {
    Stroke stroke{{}, dice.uniform(0.2, 1.4)};
    Vec2 at = spot();
    for (int k = 0; k < 4; ++k) {
      const Cubic c{at, spot(), spot(), spot()};
      stroke.path.append(c);
      at = c.p3;
    }
    if (i % 3 == 0) {
      for (int k = 0; k < 9; ++k) {
        stroke.widths_mm.push_back(stroke.width_mm * dice.uniform(0.7, 1.3));
      }
    }
    lines.strokes.push_back(stroke);
  }
  return lines;
}

TEST(CutBehind, NoInkIsLeftWithinTheGapAndNoneIsLostBeyondIt) {
  Dice dice(7);
  for (int round = 0; round < 12; ++round) {
    const Rings front = test::random_rings(dice, 6, 40.0, 10.0);
    const Linework lines = random_lines(dice, 4);
    const CutOptions options{.gap_mm = 0.1 * (round % 6), .least_piece_mm = 0.0};
    const CutResult cut = cut_behind(lines, front, options);
    // Nothing left within the gap: shallow dips may be missed by half the tolerance, widths between
    // known ones by a little more.
    const double slack = 0.0025 + 0.005;
    for (const Stroke& piece : cut.lines.strokes) {
      const std::vector<Vec2> points = sample(piece.path, 0.02);
      const double length = polyline_length(points);
      double along = 0.0;
      for (std::size_t i = 0; i < points.size(); ++i) {
        if (i > 0) along += distance(points[i - 1], points[i]);
        const double width = width_at(piece, along / length);
        EXPECT_GE(slow_distance(front, points[i]), options.gap_mm + width / 2.0 - slack);
      }
    }
    // Nothing lost farther: lengths by classifying a dense walk along the whole lines.
    double free = 0.0;
    for (const Stroke& stroke : lines.strokes) {
      const std::vector<Vec2> points = sample(stroke.path, 0.02);
      const double length = polyline_length(points);
      double along = 0.0;
      for (std::size_t i = 1; i < points.size(); ++i) {
        const double step = distance(points[i - 1], points[i]);
        const double width = width_at(stroke, (along + step / 2.0) / length);
        const double room = slow_distance(front, mix(points[i - 1], points[i], 0.5));
        if (room >= options.gap_mm + width / 2.0) free += step;
        along += step;
      }
    }
    // Half a step at each of the ends.
    EXPECT_NEAR(
        cut.lines.length_mm(), free, 0.02 * (2.0 + static_cast<double>(cut.lines.strokes.size())));
    double all = 0.0;
    for (const Stroke& stroke : lines.strokes) all += stroke.path.length();
    EXPECT_NEAR(cut.lines.length_mm() + cut.removed_length_mm(), all, 1e-4 * all);
  }
}

TEST(CutBehind, AreasAreCutAsASecondLibraryCutsThem) {
  Dice dice(9);
  for (int round = 0; round < 30; ++round) {
    const Rings front = test::random_rings(dice, 5, 40.0, 10.0);
    Linework lines;
    Rings behind = {test::random_ring(dice, {20, 20}, 22.0)};
    if (round % 2 == 0) behind.push_back(test::random_ring(dice, {20, 20}, 6.0));
    Area area;
    for (const auto& ring : behind) area.rings.push_back(Path::polyline(ring, true));
    lines.areas.push_back(area);
    const CutOptions options{.gap_mm = 0.1 * (round % 6), .least_piece_mm = 0.0};
    const CutResult cut = cut_behind(lines, front, options);

    const SecondPolygons whole = SecondPolygons::even_odd(behind);
    const SecondPolygons hard = SecondPolygons::united(front).grown(options.gap_mm);
    Rings rings;
    for (const Area& a : cut.lines.areas) {
      for (const Path& path : a.rings) {
        rings.push_back(flatten(path, 0.001));
        rings.back().pop_back();
      }
    }
    const SecondPolygons left = SecondPolygons::even_odd(rings);
    // Points are whole steps of 0.1 µm: outlines are off by less than one.
    const double step = 1e-4;
    double round_all = 0.0;
    for (const auto& ring : rings) round_all += polyline_length(ring);
    for (const auto& ring : behind) round_all += polyline_length(ring);
    const double strip = step * round_all;
    // Cut + hidden = whole.
    EXPECT_NEAR(left.area() + cut.hidden_area_mm2, whole.area(), strip) << round;
    // What is left lies in the whole, and clear of what is in front.
    EXPECT_LE(left.minus(whole).area(), strip);
    EXPECT_LE(left.common(hard).area(), strip);
    EXPECT_GE(left.distance_to(SecondPolygons::united(front)), options.gap_mm - 2.0 * step);
    // Nothing is lost beyond the gap and twice the tolerance.
    const SecondPolygons soft =
        SecondPolygons::united(front).grown(options.gap_mm + 2.0 * options.tolerance_mm);
    EXPECT_LE(whole.minus(soft).minus(left).area(), strip);
  }
}

TEST(CutBehind, CutTwiceIsCutOnce) {
  Dice dice(13);
  const Rings front = test::random_rings(dice, 6, 40.0, 10.0);
  const CutResult once = cut_behind(random_lines(dice, 6), front);
  const CutResult twice = cut_behind(once.lines, front);
  EXPECT_NEAR(twice.lines.length_mm(), once.lines.length_mm(), 0.05);
}

TEST(CutBehind, MirroredDrawingsAreCutAlike) {
  Dice dice(17);
  const Rings front = test::random_rings(dice, 6, 40.0, 10.0);
  const Linework lines = random_lines(dice, 6);
  const CutResult plain = cut_behind(lines, front);
  const CutResult other =
      cut_behind(transformed(lines, Affine::mirror_x()), transformed(front, Affine::mirror_x()));
  EXPECT_EQ(other.lines.strokes.size(), plain.lines.strokes.size());
  EXPECT_NEAR(other.lines.length_mm(), plain.lines.length_mm(), 1e-3);
}

TEST(CutBehind, ManyOutlinesInFrontOfManyLines) {
  // Quick by cells: every line against every edge would be some 10^9 distances.
  Dice dice(19);
  Rings front;
  Linework lines;
  const int rows = 14;
  for (int row = 0; row < rows; ++row) {
    for (int column = 0; column < rows; ++column) {
      front.push_back(test::random_ring(dice, {30.0 * column, 30.0 * row}, 10.0, 100));
    }
    for (int k = 0; k < 30; ++k) {
      const double y = 30.0 * row + k - 15.5;
      lines.strokes.push_back({Path::polyline({{-20, y}, {410, y}}), 0.4});
    }
  }
  const CutResult cut = cut_behind(lines, front);
  EXPECT_NEAR(cut.lines.length_mm() + cut.removed_length_mm(), 30 * rows * 430.0, 1e-3);
  EXPECT_GT(cut.removed_length_mm(), 0.0);
}

}  // namespace
}  // namespace underdraw
