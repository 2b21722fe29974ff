#include "scan/reading_order.h"

#include <cmath>

#include <gtest/gtest.h>

namespace underdraw {
namespace {

using Order = std::vector<std::size_t>;

TEST(ReadingOrder, RowsRunLeftToRightThoughSetUnevenly) {
  // Tall and low, set by their tops, their feet or neither.
  EXPECT_EQ(reading_order({{0, 0, 24, 40},
                           {30, 2, 15, 15},
                           {50, 24, 20, 16},
                           {75, 5, 20, 33},
                           {0, 50, 20, 30},
                           {30, 46, 20, 35}}),
            (Order{0, 1, 2, 3, 4, 5}));
}

TEST(ReadingOrder, OrderDoesNotDependOnTheOrderGiven) {
  EXPECT_EQ(reading_order({{75, 5, 20, 33}, {0, 50, 20, 30}, {30, 2, 15, 15}, {0, 0, 24, 40}}),
            (Order{3, 2, 0, 1}));
}

TEST(ReadingOrder, SmallTilesOnAPageLaidFourDegreesAskewKeepTheirRows) {
  // Over nine tiles of 15 mm, 6 mm apart, the row sinks by most of a tile.
  for (const double slope : {std::tan(0.07), -std::tan(0.07)}) {
    std::vector<cv::Rect> boxes;
    Order want;
    for (int row = 0; row < 4; ++row) {
      for (int column = 0; column < 9; ++column) {
        want.push_back(boxes.size());
        boxes.emplace_back(210 * column - static_cast<int>(slope * 210 * row),
                           210 * row + static_cast<int>(slope * 210 * column) + 1000,
                           150,
                           150);
      }
    }
    EXPECT_EQ(reading_order(boxes), want);
  }
}

TEST(ReadingOrder, ATallDrawingStandsBeforeTheRowsOnItsRight) {
  EXPECT_EQ(
      reading_order(
          {{40, 0, 20, 25}, {65, 2, 20, 25}, {40, 35, 20, 25}, {65, 34, 20, 25}, {0, 0, 30, 62}}),
      (Order{4, 0, 1, 2, 3}));
}

TEST(ReadingOrder, TwoThatHardlyOverlapInHeightStandBelowEachOther) {
  EXPECT_EQ(reading_order({{60, 0, 30, 30}, {0, 22, 30, 30}}), (Order{0, 1}));
}

TEST(ReadingOrder, NoneAndOneAreInOrder) {
  EXPECT_TRUE(reading_order({}).empty());
  EXPECT_EQ(reading_order({{5, 5, 1, 1}}), (Order{0}));
}

}  // namespace
}  // namespace underdraw
