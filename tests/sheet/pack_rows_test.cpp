#include "sheet/pack_rows.h"

#include <random>

#include <gtest/gtest.h>

namespace underdraw {
namespace {

const Box kRoom{{18, 24}, {200, 277}};

std::vector<Box> random_boxes(std::mt19937& random, int count) {
  std::uniform_real_distribution<double> side(8.0, 90.0);
  std::vector<Box> boxes;
  for (int i = 0; i < count; ++i) {
    const Vec2 at{side(random), side(random)};
    boxes.push_back({at, at + Vec2{side(random), side(random)}});
  }
  return boxes;
}

Box moved(const Box& box, Vec2 by) { return {box.min + by, box.max + by}; }

TEST(PackRows, NothingOverlapsAndNothingLeavesTheRoom) {
  std::mt19937 random(3);
  for (int round = 0; round < 30; ++round) {
    const std::vector<Box> boxes = random_boxes(random, 40);
    const double spacing = round % 5;
    const auto [spots, sheets] = pack_rows(boxes, kRoom, spacing);
    ASSERT_EQ(spots.size(), boxes.size());
    for (std::size_t i = 0; i < spots.size(); ++i) {
      EXPECT_LT(spots[i].sheet, sheets);
      const Box a = moved(boxes[i], spots[i].move);
      EXPECT_TRUE(kRoom.grown(1e-5).contains(a));
      for (std::size_t k = i + 1; k < spots.size(); ++k) {
        if (spots[i].sheet != spots[k].sheet) continue;
        EXPECT_FALSE(a.grown(spacing - 1e-5).overlaps(moved(boxes[k], spots[k].move)))
            << round << ": " << i << ", " << k;
      }
    }
  }
}

TEST(PackRows, TheSameBoxesGiveTheSameSheets) {
  std::mt19937 random(4);
  const std::vector<Box> boxes = random_boxes(random, 60);
  const BoxPacking once = pack_rows(boxes, kRoom, 3.0);
  const BoxPacking again = pack_rows(boxes, kRoom, 3.0);
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    EXPECT_EQ(once.spots[i].sheet, again.spots[i].sheet);
    EXPECT_EQ(once.spots[i].move, again.spots[i].move);
  }
}

TEST(PackRows, StaysWithinTwiceTheSheetsThatTheAreaAloneNeeds) {
  std::mt19937 random(5);
  const std::vector<Box> boxes = random_boxes(random, 120);
  double area = 0.0;
  for (const Box& b : boxes) area += (b.width() + 3.0) * (b.height() + 3.0);
  const double least = std::ceil(area / ((kRoom.width() + 3.0) * (kRoom.height() + 3.0)));
  EXPECT_LE(static_cast<double>(pack_rows(boxes, kRoom, 3.0).sheets), 2.0 * least);
}

TEST(PackRows, EqualBoxesRunOnInTheirOrder) {
  const std::vector<Box> boxes(12, Box{{0, 0}, {40, 50}});
  const auto spots = pack_rows(boxes, kRoom, 3.0).spots;
  for (std::size_t i = 1; i < spots.size(); ++i) {
    const Vec2 a = spots[i - 1].move, b = spots[i].move;
    EXPECT_TRUE(b.y > a.y || (b.y == a.y && b.x > a.x)) << i;
  }
}

TEST(PackRows, ABoxAsLargeAsTheRoomFillsASheet) {
  const Box whole{{0, 0}, {kRoom.width(), kRoom.height()}};
  EXPECT_EQ(pack_rows({whole, whole}, kRoom, 3.0).sheets, 2U);
}

}  // namespace
}  // namespace underdraw
