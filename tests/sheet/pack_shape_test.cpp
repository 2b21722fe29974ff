#include "sheet/pack_shape.h"

#include <gtest/gtest.h>

#include "sheet/pack_check.h"
#include "support/lobed_outlines.h"

namespace underdraw {
namespace {

std::vector<Vec2> box_ring(double side) { return {{0, 0}, {side, 0}, {side, side}, {0, side}}; }

TurnedShape turned(const PackShape& shape, double turn_deg) {
  TurnedShape out;
  out.turn(shape, turn_deg);
  return out;
}

TEST(Overlap, IsSomethingExactlyWhereTheIndependentMeasureFindsSomething) {
  test::Dice dice(4);
  const auto rings = test::lobed_outlines(8, 6);
  std::vector<PackShape> shapes;
  for (const auto& ring : rings) shapes.emplace_back(ring, Turns::any(), 0.0, ring, 0.0);
  int apart = 0;
  for (int i = 0; i < 600; ++i) {
    const PackShape& a = shapes[static_cast<std::size_t>(i) % 6];
    const PackShape& b = shapes[static_cast<std::size_t>(i / 6) % 6];
    const double turn_a = dice.uniform(0.0, 360.0), turn_b = dice.uniform(0.0, 360.0);
    const Vec2 from_a{dice.uniform(-40.0, 40.0), dice.uniform(-40.0, 40.0)};
    const double found = overlap(turned(a, turn_a), turned(b, turn_b), from_a);
    EXPECT_NEAR(found, overlap(turned(b, turn_b), turned(a, turn_a), -from_a), 1e-3);
    std::vector<Vec2> lying_a = a.outline(), lying_b = b.outline();
    for (Vec2& p : lying_a) p = Affine::turn_deg(turn_a) * p;
    for (Vec2& p : lying_b) p = Affine::turn_deg(turn_b) * p + from_a;
    EXPECT_EQ(found > 0.0, overlap_depth(lying_a, lying_b) > 0.0) << i;
    if (found == 0.0) ++apart;
  }
  EXPECT_GT(apart, 100);
  EXPECT_LT(apart, 500);
}

TEST(Overlap, FallsAsShapesAreDrawnApart) {
  const PackShape square(box_ring(10.0), Turns::none(), 0.0, box_ring(10.0), 0.0);
  const TurnedShape a = turned(square, 0.0);
  double before = overlap(a, a, {0.5, 0.0});
  for (double x = 1.0; x < 10.0; x += 0.5) {
    const double now = overlap(a, a, {x, 0.0});
    EXPECT_LT(now, before) << x;
    EXPECT_GT(now, 0.0) << x;
    before = now;
  }
  EXPECT_EQ(overlap(a, a, {10.001, 0.0}), 0.0);
}

// Simplified outlines stick out of the box that is held against the room's edges; corners that
// overlap out there went unseen once.
TEST(Overlap, IsSeenOutsideTheBoxForTheEdges) {
  std::vector<Vec2> core = box_ring(8.0);
  for (Vec2& p : core) p += {1.0, 1.0};
  const PackShape square(box_ring(10.0), Turns::none(), 0.0, core, 0.0);
  const TurnedShape a = turned(square, 0.0);
  EXPECT_GT(overlap(a, a, {9.5, 9.5}), 0.0);
}

TEST(PackShape, CirclesLieInsideAndApartTheLargestFirst) {
  for (const auto& ring : test::lobed_outlines(2, 5)) {
    const PackShape shape(ring, Turns::any(), 0.0, ring, 0.0);
    const auto& circles = shape.circles();
    ASSERT_GE(circles.size(), 3U);
    for (std::size_t i = 0; i < circles.size(); ++i) {
      EXPECT_LE(circles[i].r, circles[0].r + 1e-9);
      for (int k = 0; k < 36; ++k) {
        const Vec2 p = circles[i].at + Affine::turn_deg(10.0 * k) * Vec2{circles[i].r * 0.999, 0.0};
        const Vec2 q = p + Vec2{1e-4, 0.0};
        EXPECT_GT(overlap_depth(shape.outline(), {p, q, p + Vec2{0.0, 1e-4}}), 0.0);
      }
      for (std::size_t k = 0; k < i; ++k) {
        EXPECT_GE(distance(circles[i].at, circles[k].at), circles[i].r + circles[k].r - 1e-9);
      }
    }
  }
}

}  // namespace
}  // namespace underdraw
