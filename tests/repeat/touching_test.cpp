#include "repeat/touching.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

const Rings kSquare = ring_of(Box{{0, 0}, {10, 10}});

TEST(Touching, CrossingsInsidesAndApart) {
  EXPECT_TRUE(touching(kSquare, ring_of(Box{{5, 5}, {15, 15}})));
  EXPECT_TRUE(touching(kSquare, ring_of(Box{{2, 2}, {3, 3}})));
  EXPECT_TRUE(touching(ring_of(Box{{2, 2}, {3, 3}}), kSquare));
  EXPECT_TRUE(touching(kSquare, ring_of(Box{{-5, 4}, {15, 6}})));  // a plus: no corner in either
  EXPECT_FALSE(touching(kSquare, ring_of(Box{{11, 0}, {15, 10}})));
  EXPECT_FALSE(touching(kSquare, {}));
}

TEST(Touching, BoxesThatOverlapAreNotYetShapesThatTouch) {
  const Rings corner = {{{0, 0}, {10, 0}, {0, 10}}};  // triangle: its box's far corner is empty
  EXPECT_FALSE(touching(corner, ring_of(Box{{8, 8}, {12, 12}})));
  EXPECT_TRUE(touching(corner, ring_of(Box{{4, 4}, {12, 12}})));
}

}  // namespace
}  // namespace underdraw
