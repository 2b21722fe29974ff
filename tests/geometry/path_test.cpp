#include "geometry/path.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

// Quarter circle of radius 1 by the usual cubic, kappa = 4/3 tan(pi/8); its radius is off by at
// most 2.73e-4 (T. Goldapp, "Approximation of circular arcs by cubic polynomials", CAGD 8 (1991)).
const Cubic kQuarter{{1, 0}, {1, 0.5522847498}, {0.5522847498, 1}, {0, 1}};

TEST(Cubic, QuarterCircleStaysWithinThePublishedRadiusError) {
  for (int i = 0; i <= 100; ++i) {
    EXPECT_NEAR(length(kQuarter.at(i / 100.0)), 1.0, 2.8e-4);
  }
}

TEST(Cubic, SplitHalvesLieOnTheWhole) {
  const auto [before, after] = split(kQuarter, 0.3);
  for (int i = 0; i <= 10; ++i) {
    const double t = i / 10.0;
    EXPECT_LT(distance(before.at(t), kQuarter.at(0.3 * t)), 1e-12);
    EXPECT_LT(distance(after.at(t), kQuarter.at(0.3 + 0.7 * t)), 1e-12);
  }
}

TEST(Path, LengthOfAQuarterCircleIsHalfPi) {
  Path path;
  path.append(kQuarter);
  EXPECT_NEAR(path.length(), std::numbers::pi / 2.0, 4e-4);
}

TEST(Path, BoxIsThatOfTheCurveNotOfItsControlPoints) {
  Path path;
  path.append({{0, 0}, {0, 4}, {4, 4}, {4, 0}});
  EXPECT_NEAR(path.box().max.y, 3.0, 1e-12);  // 3/4 of the control height, symmetric cubic
  EXPECT_DOUBLE_EQ(path.box().min.y, 0.0);
}

TEST(Path, FlattenStaysWithinTheTolerance) {
  Path path;
  path.append({{0, 0}, {30, 80}, {-20, 40}, {50, 5}});
  for (const double tolerance : {0.5, 0.05, 0.005}) {
    const std::vector<Vec2> line = flatten(path, tolerance);
    for (int i = 0; i <= 2000; ++i) {
      const Vec2 p = path.piece(0).at(i / 2000.0);
      double nearest = 1e9;
      for (std::size_t k = 0; k + 1 < line.size(); ++k) {
        const Vec2 along = line[k + 1] - line[k];
        const double t = std::clamp(dot(p - line[k], along) / dot(along, along), 0.0, 1.0);
        nearest = std::min(nearest, distance(p, mix(line[k], line[k + 1], t)));
      }
      EXPECT_LE(nearest, tolerance);
    }
  }
}

TEST(Path, SampleLeavesNoStepLongerThanAsked) {
  Path path;
  path.append({{0, 0}, {30, 80}, {-20, 40}, {50, 5}});
  const std::vector<Vec2> points = sample(path, 0.25);
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    EXPECT_LE(distance(points[i], points[i + 1]), 0.25 + 1e-9);
  }
}

TEST(Path, ClosedPolylineRepeatsItsFirstPoint) {
  const Path square = Path::polyline({{0, 0}, {2, 0}, {2, 2}, {0, 2}}, true);
  EXPECT_EQ(square.piece_count(), 4U);
  EXPECT_EQ(square.points.front(), square.points.back());
  EXPECT_NEAR(square.length(), 8.0, 1e-12);
}

}  // namespace
}  // namespace underdraw
