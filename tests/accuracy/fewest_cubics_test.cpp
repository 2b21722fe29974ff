#include "accuracy/fewest_cubics.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace underdraw::test {
namespace {

// Part of a circle in many short cubics, each exact to better than 1e-6 of the radius.
Path arc(double radius, double degrees_round) {
  Path path;
  const int n = static_cast<int>(std::ceil(degrees_round / 15.0));
  const double step = radians(degrees_round) / n;
  const double k = 4.0 / 3.0 * std::tan(step / 4.0) * radius;
  for (int i = 0; i < n; ++i) {
    const Vec2 a{std::cos(i * step), std::sin(i * step)};
    const Vec2 b{std::cos((i + 1) * step), std::sin((i + 1) * step)};
    path.append({radius * a,
                 radius * a + k * perpendicular(a),
                 radius * b - k * perpendicular(b),
                 radius * b});
  }
  return path;
}

// A cubic with the ends and the tangents of an arc of angle a is off by at most about
// (2 / 27) sin(a / 4)^6 / cos(a / 4)^2 of the radius (M. Goldapp, Computer Aided Geometric Design
// 8, 1991; from memory; a quarter circle gives the well-known 0.00027). 0.003 of the radius then
// allows 143 degrees and 0.00005 allows 69; free tangents allow some more, but the half circle is
// off by 0.0185, six times too much.
TEST(FewestCubics, OfACircleAreWhatTheoryGives) {
  EXPECT_EQ(fewest_cubics(arc(10.0, 90.0)), 1U);
  EXPECT_EQ(fewest_cubics(arc(10.0, 120.0)), 1U);
  EXPECT_EQ(fewest_cubics(arc(10.0, 180.0)), 2U);
  EXPECT_EQ(fewest_cubics(arc(10.0, 240.0)), 2U);
  EXPECT_EQ(fewest_cubics(arc(10.0, 360.0)), 3U);
  EXPECT_EQ(fewest_cubics(arc(100.0, 360.0)), 4U);
}

TEST(FewestCubics, OfAStraightLineAreOneHoweverItIsCut) {
  EXPECT_EQ(fewest_cubics(Path::polyline({{0, 0}, {50, 20}})), 1U);
  EXPECT_EQ(fewest_cubics(Path::polyline({{0, 0}, {5, 2}, {10, 4}, {45, 18}, {50, 20}})), 1U);
}

TEST(FewestCubics, OfOneCubicAreOneEvenWhenItWasCutInPieces) {
  const Cubic s{{0, 0}, {20, 0}, {-5, 15}, {15, 15}};
  Path whole;
  whole.append(s);
  EXPECT_EQ(fewest_cubics(whole), 1U);
  const CubicPair halves = split(s, 0.4);
  const CubicPair more = split(halves.after, 0.3);
  Path pieces;
  pieces.append(halves.before);
  pieces.append(more.before);
  pieces.append(more.after);
  EXPECT_EQ(fewest_cubics(pieces), 1U);
}

TEST(FewestCubics, BreakAtCorners) {
  EXPECT_EQ(fewest_cubics(Path::polyline({{0, 0}, {10, 0}, {10, 10}})), 2U);
  EXPECT_EQ(fewest_cubics(Path::polyline({{0, 0}, {10, 0}, {10, 10}, {0, 10}}, true)), 4U);
}

TEST(FewestCubics, OfManyWavesGrowWithTheWaves) {
  const auto waves = [](int n) {
    Path path;
    // Each half wave a cubic, joined smoothly.
    for (int i = 0; i < n; ++i) {
      const double x = 8.0 * i;
      const double y = i % 2 == 0 ? 8.0 : -8.0;
      path.append({{x, 0}, {x + 2, y}, {x + 6, y}, {x + 8, 0}});
    }
    return fewest_cubics(path);
  };
  EXPECT_EQ(waves(1), 1U);
  EXPECT_LE(waves(8), 8U);
  EXPECT_GE(waves(8), 4U);
  EXPECT_EQ(waves(40), 5 * waves(8));
}

TEST(FewestCubics, AreMoreForATighterTolerance) {
  EXPECT_GE(fewest_cubics(arc(10.0, 360.0), 0.0005), 5U);
  EXPECT_LE(fewest_cubics(arc(10.0, 360.0), 0.0005), 6U);
  EXPECT_EQ(fewest_cubics(arc(10.0, 360.0), 1.0), 2U);
}

TEST(FewestCubics, OfADotAreNone) {
  Path dot;
  dot.points = {{3, 4}};
  EXPECT_EQ(fewest_cubics(dot), 0U);
}

}  // namespace
}  // namespace underdraw::test
