#include "piece/dart_lines.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "core/error.h"
#include "piece/creasing.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kBall = 1e-4;  // R = 100

Vec2 polar(double radius, double deg) {
  return {radius * std::cos(radians(deg)), radius * std::sin(radians(deg))};
}

std::vector<Vec2> circle(double radius, Vec2 middle = {}) {
  std::vector<Vec2> ring;
  for (int i = 0; i < 720; ++i) ring.push_back(middle + polar(radius, i * 0.5));
  return ring;
}

Linework star(int rays, double from, double to, double turn_deg) {
  Linework lines;
  for (int i = 0; i < rays; ++i) {
    const double deg = turn_deg + 360.0 * i / rays;
    lines.strokes.push_back({Path::polyline({polar(from, deg), polar(to, deg)})});
  }
  return lines;
}

Vec2 inner_end(const Path& cut) { return cut.points.back(); }
Vec2 outer_end(const Path& cut) { return cut.points.front(); }

// Widest petal between neighbouring cuts, as a share of what a strip on R = 100 may be for 1 %: a
// petal that reaches p from the middle is 100 sin(p / 100) times its angle wide there, a strip
// 2 * 14.15395.
double widest_share(const Darts& darts) {
  std::vector<std::pair<double, double>> cuts;  // angle and reach
  for (const Path& cut : darts.cuts) {
    const Vec2 out = outer_end(cut) - darts.middle;
    cuts.push_back({std::atan2(out.y, out.x), length(out) - 1.0});
  }
  std::sort(cuts.begin(), cuts.end());
  double widest = 0.0;
  for (std::size_t i = 0; i < cuts.size(); ++i) {
    const auto& [a, reach_a] = cuts[i];
    const auto& [b, reach_b] = cuts[(i + 1) % cuts.size()];
    const double angle = b - a + (i + 1 == cuts.size() ? 2.0 * kPi : 0.0);
    const double reach = std::min(reach_a, reach_b);
    widest = std::max(widest, angle * 100.0 * std::sin(reach / 100.0) / (2.0 * 14.15395));
  }
  return widest;
}

// Crossings counted anew, by sampling both lines finely.
int crossings_seen(const Darts& darts, const Linework& lines, double clear) {
  int count = 0;
  for (const Path& cut : darts.cuts) {
    for (const Stroke& stroke : lines.strokes) {
      double nearest = 1e9;
      for (const Vec2 a : sample(cut, 0.1)) {
        for (const Vec2 b : sample(stroke.path, 0.1)) nearest = std::min(nearest, distance(a, b));
      }
      if (nearest < stroke.width_mm / 2 + clear - 0.1) ++count;
    }
  }
  return count;
}

TEST(DartLines, WithoutLinesThereAreAsManyAsTheFormulaSays) {
  for (const double radius : {26.0, 40.0, 50.0, 80.0}) {
    const Darts darts = dart_lines({}, {circle(radius)}, kBall);
    EXPECT_EQ(static_cast<int>(darts.cuts.size()), dart_count(kBall, radius, 1.0)) << radius;
    EXPECT_EQ(darts.crossings, 0);
    for (const Path& cut : darts.cuts) {
      EXPECT_GT(length(outer_end(cut)), radius);
      EXPECT_NEAR(length(inner_end(cut)), *flat_disc_radius_mm(kBall, 1.0), 1e-9);
    }
  }
}

TEST(DartLines, NoneWhereTheCopyLiesFlat) {
  EXPECT_TRUE(dart_lines({}, {circle(24.0)}, kBall).cuts.empty());
  EXPECT_TRUE(dart_lines({}, {circle(500.0)}, 0.0).cuts.empty());
  EXPECT_TRUE(dart_lines({}, {circle(40.0)}, kBall, {10.0}).cuts.empty());
}

// A cut between each two of the rays is free, whichever way the star is turned.
TEST(DartLines, AStarIsCutBetweenItsRays) {
  for (const double turn : {0.0, 3.0, 7.7, 20.0}) {
    const Linework lines = star(12, 5.0, 49.0, turn);
    const Darts darts = dart_lines(lines, {circle(50.0)}, kBall);
    EXPECT_EQ(darts.crossings, 0) << turn;
    EXPECT_EQ(darts.along_mm, 0.0);
    EXPECT_EQ(crossings_seen(darts, lines, 0.3), 0);
    EXPECT_GE(darts.cuts.size(), 11U);
    EXPECT_LE(darts.cuts.size(), 14U);
    EXPECT_LE(widest_share(darts), 1.001);
  }
}

TEST(DartLines, ACrossIsPassedBy) {
  const Darts darts = dart_lines(star(4, 0.0, 45.0, 45.0), {circle(46.0)}, kBall);
  EXPECT_EQ(darts.crossings, 0);
  EXPECT_EQ(darts.along_mm, 0.0);
}

// A ring of line cannot be passed by, but its openings can.
TEST(DartLines, AllCutsGoThroughTheOpeningsOfAnArc) {
  constexpr double kRadius = 40.0;
  const double widest = degrees(2 * 0.1415395 / std::sin(0.42));
  Linework lines;
  for (int i = 0; i < 12; ++i) {
    std::vector<Vec2> arc;
    for (double deg = 4.0; deg <= 26.0; deg += 0.5) arc.push_back(polar(kRadius, i * 30 + deg));
    lines.strokes.push_back({Path::polyline(arc)});
  }
  const Darts open = dart_lines(lines, {circle(42.0)}, kBall);
  ASSERT_GT(widest, 30.0);
  EXPECT_EQ(open.crossings, 0);
  EXPECT_EQ(crossings_seen(open, lines, 0.3), 0);
  const Linework closed{{{Path::polyline(circle(kRadius), true)}}, {}};
  const Darts through = dart_lines(closed, {circle(42.0)}, kBall);
  // None can pass a closed line; a middle a little off needs fewer where the rim is near.
  EXPECT_EQ(through.cuts.size(), static_cast<std::size_t>(through.crossings));
  EXPECT_LE(through.crossings, dart_count(kBall, 42.0, 1.0));
  EXPECT_GE(through.crossings, dart_count(kBall, 42.0, 1.0) - 2);
}

TEST(DartLines, AWiderPetalIsNeverLeftToSpareALine) {
  // Lines over half of the round, too wide to pass by.
  Linework lines;
  std::vector<Vec2> arc;
  for (double deg = 0.0; deg <= 180.0; deg += 1.0) arc.push_back(polar(40.0, deg));
  lines.strokes.push_back({Path::polyline(arc)});
  const Darts darts = dart_lines(lines, {circle(50.0)}, kBall);
  EXPECT_GT(darts.crossings, 0);
  EXPECT_LE(darts.crossings, 6);
  EXPECT_LE(widest_share(darts), 1.001);
}

// 90 x 20 mm on R = 100: narrower than a strip that lies flat, so nothing needs cutting.
TEST(DartLines, ANarrowFeatherNeedsNone) {
  const Rings feather = {{{-45, -10}, {45, -10}, {45, 10}, {-45, 10}}};
  EXPECT_TRUE(dart_lines({}, feather, kBall).cuts.empty());
  const Rings broad = {{{-45, -30}, {45, -30}, {45, 30}, {-45, 30}}};
  EXPECT_FALSE(dart_lines({}, broad, kBall).cuts.empty());
}

TEST(DartLines, OnASaddleTheyOpen) {
  const Darts bulge = dart_lines({}, {circle(50.0)}, kBall);
  const Darts saddle = dart_lines({}, {circle(50.0)}, -kBall);
  EXPECT_GT(bulge.widest_mm, 0.0);
  EXPECT_LT(saddle.widest_mm, 0.0);
  EXPECT_NEAR(bulge.widest_mm, dart_width_mm(kBall, 50.0) / 11.0, 0.2);
}

TEST(DartLines, WithoutAnOutlineTheDrawingItselfIsIt) {
  const Darts darts = dart_lines(star(16, 0.0, 40.0, 0.0), {}, kBall);
  EXPECT_EQ(darts.crossings, 0);
  const Linework filled{{}, {Area{{Path::polyline(circle(40.0), true)}}}};
  EXPECT_GT(dart_lines(filled, {}, kBall).cuts.size(), 5U);
}

TEST(DartLines, RefusesLimitsThatMakeNoSense) {
  EXPECT_THROW(dart_lines({}, {circle(50.0)}, kBall, {0.0}), OptionError);
  EXPECT_THROW(dart_lines({}, {circle(50.0)}, kBall, {1.0, -1.0}), OptionError);
}

}  // namespace
}  // namespace underdraw
