// Polygon unions and offsets of geometry/outline.h against a second library (GEOS 3.11).
#include <gtest/gtest.h>

#include "geometry/outline.h"
#include "support/random_rings.h"
#include "support/second_polygons.h"

namespace underdraw {
namespace {

using test::Dice;
using test::SecondPolygons;

double round_of(const Rings& rings) {
  double sum = 0.0;
  for (const auto& ring : rings) {
    sum += polyline_length(ring) + distance(ring.back(), ring.front());
  }
  return sum;
}

// One library works in steps of 0.1 µm: outlines are off by less than one step.
constexpr double kStep = 1e-4;

TEST(SecondOpinion, CoveredAreasAgree) {
  Dice dice(1);
  for (int round = 0; round < 60; ++round) {
    const Rings rings = test::random_rings(dice, 1 + round % 12, 40.0, 15.0);
    EXPECT_NEAR(covered_area(rings), SecondPolygons::united(rings).area(), round_of(rings) * kStep)
        << round;
  }
}

TEST(SecondOpinion, GrownOutlinesAgree) {
  Dice dice(2);
  const double tolerance = 0.005;
  for (int round = 0; round < 40; ++round) {
    const Rings rings = test::random_rings(dice, 1 + round % 8, 40.0, 15.0);
    for (const double by : {0.3, 2.0, -0.4}) {
      const Rings grown = outlines_grown(rings, by, tolerance);
      const SecondPolygons first = SecondPolygons::united(grown);
      // White that several rings close in is filled after the move, as the header has it.
      const SecondPolygons second = SecondPolygons::united(rings).grown(by).filled();
      // What only one of the two covers is a strip along the outline, as wide as the tolerance.
      const double strip = (tolerance + kStep) * std::max(round_of(grown), 1.0);
      EXPECT_LE(first.minus(second).area(), strip) << round << " by " << by;
      EXPECT_LE(second.minus(first).area(), strip) << round << " by " << by;
    }
  }
}

TEST(SecondOpinion, SilhouettesAgree) {
  Dice dice(3);
  for (int round = 0; round < 20; ++round) {
    Linework lines;
    SecondPolygons second = SecondPolygons::united({});
    for (int i = 0; i < 6; ++i) {
      const std::vector<Vec2> ring =
          test::random_ring(dice, {dice.uniform(0.0, 30.0), dice.uniform(0.0, 30.0)}, 9.0, 9);
      const double width = dice.uniform(0.2, 2.0);
      lines.strokes.push_back({Path::polyline(ring, true), width});
      // A pen's track along a ring: the ring grown by half the pen less the ring made smaller.
      const SecondPolygons one = SecondPolygons::united({ring});
      second = second.plus(one.grown(width / 2.0).minus(one.grown(-width / 2.0)));
    }
    const Rings first = silhouette(lines, {.close_mm = 0.0});
    const SecondPolygons outer = second.filled();
    const double strip = 0.0055 * round_of(first);
    EXPECT_LE(SecondPolygons::united(first).minus(outer).area(), strip) << round;
    EXPECT_LE(outer.minus(SecondPolygons::united(first)).area(), strip) << round;
  }
}

}  // namespace
}  // namespace underdraw
