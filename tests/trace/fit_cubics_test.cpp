#include "trace/fit_cubics.h"

#include <random>

#include <gtest/gtest.h>

namespace underdraw {
namespace {

double distance_to(const Path& path, Vec2 p) {
  double nearest = std::numeric_limits<double>::infinity();
  for (const Vec2 q : sample(path, 0.01)) nearest = std::min(nearest, distance(p, q));
  return nearest;
}

std::vector<Vec2> circle(double radius, double step, double noise, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> off(-noise, noise);
  std::vector<Vec2> out;
  const int n = static_cast<int>(2.0 * std::numbers::pi * radius / step);
  for (int i = 0; i < n; ++i) {
    const double a = 2.0 * std::numbers::pi * i / n;
    const double r = radius + off(random);
    out.push_back({r * std::cos(a), r * std::sin(a)});
  }
  return out;
}

TEST(FitCubics, StaysWithinToleranceOfEveryPoint) {
  std::vector<Vec2> points;
  for (int i = 0; i <= 600; ++i) {
    const double x = i * 0.08;
    points.push_back({x, 4.0 * std::sin(x / 3.0) + 0.6 * std::sin(x * 1.7)});
  }
  for (const double tolerance : {0.1, 0.03, 0.01}) {
    const Path path = fit_cubics(points, {}, false, {.tolerance = tolerance});
    for (const Vec2 p : points) EXPECT_LE(distance_to(path, p), tolerance + 0.006);
  }
}

TEST(FitCubics, ACircleNeedsNoMoreThanSixPieces) {
  // Four quarter arcs are within 0.03 % of the radius (Goldapp 1991), here 0.0014 mm.
  const Path path = fit_cubics(circle(5.0, 0.08, 0.0, 1), {}, true, {.tolerance = 0.03});
  EXPECT_LE(path.piece_count(), 6U);
  EXPECT_EQ(path.points.front(), path.points.back());
  for (const Vec2 p : sample(path, 0.05)) EXPECT_NEAR(length(p), 5.0, 0.03);
}

TEST(FitCubics, EvensOutScatterInsteadOfFollowingIt) {
  const Path path = fit_cubics(circle(5.0, 0.08, 0.012, 2), {}, true, {.tolerance = 0.03});
  EXPECT_LE(path.piece_count(), 10U);
  double squares = 0.0;
  const std::vector<Vec2> points = sample(path, 0.05);
  for (const Vec2 p : points) squares += (length(p) - 5.0) * (length(p) - 5.0);
  EXPECT_LT(std::sqrt(squares / static_cast<double>(points.size())), 0.009);
}

TEST(FitCubics, JoinsPiecesWithoutAKinkExceptAtCorners) {
  std::vector<Vec2> points;
  for (int i = 0; i <= 100; ++i) points.push_back({i * 0.1, std::sin(i * 0.1)});
  const std::size_t corner = points.size() - 1;
  const Vec2 tip = points.back();
  for (int i = 1; i <= 100; ++i) points.push_back({tip.x - i * 0.1, tip.y + i * 0.05});
  const Path path = fit_cubics(points, {corner}, false, {.tolerance = 0.02});
  bool corner_is_a_join = false;
  for (std::size_t i = 0; i + 1 < path.piece_count(); ++i) {
    const Cubic a = path.piece(i);
    const Cubic b = path.piece(i + 1);
    const Vec2 in = normalized(a.p3 - a.p2);
    const Vec2 out = normalized(b.p1 - b.p0);
    if (distance(a.p3, tip) < 0.01) {
      corner_is_a_join = true;
      EXPECT_LT(dot(in, out), 0.0);
    } else {
      EXPECT_GT(dot(in, out), std::cos(radians(1.0)));
    }
  }
  EXPECT_TRUE(corner_is_a_join);
}

TEST(FitCubics, OnePointIsADotAndTwoAreAStraightPiece) {
  EXPECT_TRUE(fit_cubics({{1, 2}}, {}, false, {}).is_dot());
  const Path line = fit_cubics({{0, 0}, {3, 4}}, {}, false, {});
  EXPECT_EQ(line.piece_count(), 1U);
  EXPECT_NEAR(line.length(), 5.0, 1e-9);
}

TEST(FitCubics, NeverGivesANumberThatIsNone) {
  // Repeated points, reversals and straight lines are where the equations run empty.
  const std::vector<std::vector<Vec2>> hard = {
      {{0, 0}, {0, 0}, {0, 0}},
      {{0, 0}, {1, 0}, {2, 0}, {3, 0}, {4, 0}},
      {{0, 0}, {1, 0}, {0, 0}, {1, 0}, {0, 0}},
      {{5, 5}, {5, 5}, {6, 6}, {6, 6}, {5, 5}},
  };
  for (const auto& points : hard) {
    for (const bool closed : {false, true}) {
      for (const Vec2 p : fit_cubics(points, {}, closed, {}).points) {
        EXPECT_TRUE(std::isfinite(p.x) && std::isfinite(p.y));
      }
    }
  }
}

}  // namespace
}  // namespace underdraw
