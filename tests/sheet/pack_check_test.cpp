#include "sheet/pack_check.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

using Ring = std::vector<Vec2>;

Ring box_ring(double x, double y, double width, double height) {
  return {{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}};
}

Ring moved(Ring ring, Vec2 by) {
  for (Vec2& p : ring) p += by;
  return ring;
}

TEST(OverlapDepth, IsNothingForOutlinesThatOnlyTouch) {
  const Ring square = box_ring(0, 0, 10, 10);
  EXPECT_EQ(overlap_depth(square, box_ring(10, 0, 10, 10)), 0.0);  // a whole side
  EXPECT_EQ(overlap_depth(square, box_ring(10, 4, 10, 10)), 0.0);  // part of one
  EXPECT_EQ(overlap_depth(square, box_ring(10, 10, 5, 5)), 0.0);   // a corner
  EXPECT_EQ(overlap_depth(square, {{10, 5}, {20, 0}, {20, 9}}), 0.0);
  const Ring notch = {{0, 0}, {9, 0}, {9, 9}, {6, 9}, {6, 3}, {3, 3}, {3, 9}, {0, 9}};
  EXPECT_EQ(overlap_depth(notch, box_ring(3, 3, 3, 9)), 0.0);  // filled exactly
}

// The cases where no corner lies inside the other and no sides cross within their lengths.
TEST(OverlapDepth, FindsOverlapsWhoseBordersOnlyTouch) {
  const Ring square = box_ring(0, 0, 10, 10);
  EXPECT_GT(overlap_depth(square, square), 1.0);
  EXPECT_GT(overlap_depth(square, box_ring(5, 0, 10, 10)), 1.0);  // sides along each other
  EXPECT_GT(overlap_depth(square, box_ring(0, 0, 10, 4)), 0.5);   // the lower part of it
  EXPECT_GT(overlap_depth(square, box_ring(3, -5, 4, 20)), 0.5);  // a cross
  EXPECT_GT(overlap_depth(square, box_ring(2, 2, 4, 4)), 0.5);    // all inside
  EXPECT_GT(overlap_depth(square, {{5, 0}, {10, 5}, {5, 10}, {0, 5}}), 1.0);  // corners on sides
}

TEST(OverlapDepth, IsTheSameBothWaysAndForEitherSenseOfRunning) {
  const Ring a = box_ring(0, 0, 10, 10);
  Ring b = box_ring(9, 3, 10, 3);
  const double depth = overlap_depth(a, b);
  EXPECT_NEAR(depth, 0.5, 0.51);
  EXPECT_GT(depth, 0.4);
  EXPECT_EQ(overlap_depth(b, a), depth);
  std::reverse(b.begin(), b.end());
  EXPECT_NEAR(overlap_depth(a, b), depth, 1e-12);
}

TEST(OverlapDepth, SeesAThousandthOfAMillimetre) {
  const Ring a = {{0, 0}, {10, 1}, {0, 2}}, b = {{0, 0}, {-10, 1}, {0, 2}};
  EXPECT_EQ(overlap_depth(a, b), 0.0);
  EXPECT_GT(overlap_depth(a, moved(b, {0.001, 0.0})), 1e-4);
}

TEST(OutlineDistance, IsMeasuredFromSideToSide) {
  const Ring square = box_ring(0, 0, 10, 10);
  EXPECT_DOUBLE_EQ(outline_distance(square, box_ring(13, 2, 4, 4)), 3.0);
  EXPECT_DOUBLE_EQ(outline_distance(square, box_ring(13, 14, 4, 4)), 5.0);
  EXPECT_DOUBLE_EQ(outline_distance(square, {{12, 5}, {20, 0}, {20, 9}}), 2.0);
  EXPECT_EQ(outline_distance(square, box_ring(2, 2, 4, 4)), 0.0);
  EXPECT_EQ(outline_distance(box_ring(2, 2, 4, 4), square), 0.0);
  EXPECT_EQ(outline_distance(square, box_ring(3, -5, 4, 20)), 0.0);
}

TEST(FindPackingFault, NamesThePairAndWhatIsMissing) {
  const Box room{{0, 0}, {40, 20}};
  const Ring a = box_ring(0, 0, 10, 10), b = box_ring(12.5, 0, 10, 10);
  EXPECT_FALSE(find_packing_fault({a, b}, room, 2.5));
  const auto close = find_packing_fault({a, b}, room, 3.0);
  ASSERT_TRUE(close);
  EXPECT_EQ(close->first, 0U);
  EXPECT_EQ(close->second, 1U);
  EXPECT_NEAR(close->by_mm, 0.5, 1e-9);
  const auto outside = find_packing_fault({a, box_ring(31, 0, 10, 10)}, room, 3.0);
  ASSERT_TRUE(outside);
  EXPECT_EQ(outside->first, 1U);
  EXPECT_EQ(outside->second, 1U);
  EXPECT_NEAR(outside->by_mm, 1.0, 1e-9);
  EXPECT_FALSE(find_packing_fault({a, moved(a, {10, 0})}, room, 0.0));
  EXPECT_TRUE(find_packing_fault({a, moved(a, {9.99, 0})}, room, 0.0));
}

}  // namespace
}  // namespace underdraw
