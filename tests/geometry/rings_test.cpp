#include "geometry/rings.h"

#include <gtest/gtest.h>

#include "geometry/path.h"

namespace underdraw {
namespace {

const Ring kNotched = {{0, 0}, {10, 0}, {10, 10}, {5, 4}, {0, 10}};

TEST(Rings, APointInANotchIsOutside) {
  EXPECT_TRUE(inside(kNotched, {5, 2}));
  EXPECT_FALSE(inside(kNotched, {5, 8}));
  EXPECT_FALSE(inside(kNotched, {-1, 2}));
  EXPECT_FALSE(inside(Ring{}, {0, 0}));
}

TEST(Rings, ARingInARingIsAHole) {
  const Rings frame = {ring_of({{0, 0}, {10, 10}})[0], ring_of({{3, 3}, {7, 7}})[0]};
  EXPECT_TRUE(inside(frame, {1, 5}));
  EXPECT_FALSE(inside(frame, {5, 5}));
}

TEST(Rings, TheHullFillsTheNotchAndRunsThePositiveWay) {
  const Ring hull = convex_hull(kNotched);
  EXPECT_EQ(hull.size(), 4U);
  EXPECT_EQ(signed_area(hull), 100.0);
}

TEST(Rings, ABoxHoldsAllOfThem) {
  const Box box = box_of(Rings{kNotched, {{-2, 3}, {1, 14}, {4, 3}}});
  EXPECT_EQ(box.min, (Vec2{-2, 0}));
  EXPECT_EQ(box.max, (Vec2{10, 14}));
  EXPECT_TRUE(box_of(Rings{}).empty());
}

TEST(Rings, ASideIsNearestAtItsFootOrAtAnEnd) {
  EXPECT_DOUBLE_EQ(distance_to_segment({3, 4}, {0, 0}, {10, 0}), 4.0);
  EXPECT_DOUBLE_EQ(distance_to_segment({-3, 4}, {0, 0}, {10, 0}), 5.0);
  EXPECT_DOUBLE_EQ(distance_to_segment({3, 4}, {0, 0}, {0, 0}), 5.0);
}

}  // namespace
}  // namespace underdraw
