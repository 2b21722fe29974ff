#include "sheet/pack_sheets.h"

#include <random>

#include <gtest/gtest.h>

#include "core/error.h"
#include "sheet/shapes.h"

namespace underdraw {
namespace {

const Box kRoom{{18, 24}, {200, 277}};

std::vector<Path> random_outlines(std::mt19937& random, int count) {
  std::uniform_real_distribution<double> side(8.0, 90.0);
  std::vector<Path> outlines;
  for (int i = 0; i < count; ++i) {
    const Vec2 at{side(random), side(random)};
    outlines.push_back(rounded_rectangle({at, at + Vec2{side(random), side(random)}}, 3.0));
  }
  return outlines;
}

TEST(PackSheets, NothingOverlapsAndNothingLeavesTheRoom) {
  std::mt19937 random(3);
  for (int round = 0; round < 30; ++round) {
    const std::vector<Path> outlines = random_outlines(random, 40);
    const double spacing = round % 5;
    const auto spots = pack_sheets(outlines, kRoom, {.spacing_mm = spacing});
    ASSERT_EQ(spots.size(), outlines.size());
    for (std::size_t i = 0; i < spots.size(); ++i) {
      const Box a = transformed(outlines[i], spots[i].sheet_from_item).box();
      EXPECT_TRUE(kRoom.grown(1e-5).contains(a));
      for (std::size_t k = i + 1; k < spots.size(); ++k) {
        if (spots[i].sheet != spots[k].sheet) continue;
        const Box b = transformed(outlines[k], spots[k].sheet_from_item).box();
        EXPECT_FALSE(a.grown(spacing - 1e-5).overlaps(b)) << round << ": " << i << ", " << k;
      }
    }
  }
}

TEST(PackSheets, TheSameOutlinesGiveTheSameSheets) {
  std::mt19937 random(4);
  const std::vector<Path> outlines = random_outlines(random, 60);
  const auto once = pack_sheets(outlines, kRoom);
  const auto again = pack_sheets(outlines, kRoom);
  for (std::size_t i = 0; i < once.size(); ++i) {
    EXPECT_EQ(once[i].sheet, again[i].sheet);
    EXPECT_EQ(once[i].sheet_from_item.tx, again[i].sheet_from_item.tx);
    EXPECT_EQ(once[i].sheet_from_item.ty, again[i].sheet_from_item.ty);
  }
}

TEST(PackSheets, StaysWithinTwiceTheSheetsThatTheAreaAloneNeeds) {
  std::mt19937 random(5);
  const std::vector<Path> outlines = random_outlines(random, 120);
  double area = 0.0;
  for (const Path& p : outlines) area += (p.box().width() + 3.0) * (p.box().height() + 3.0);
  std::size_t sheets = 0;
  for (const PackedSpot& spot : pack_sheets(outlines, kRoom)) {
    sheets = std::max(sheets, spot.sheet + 1);
  }
  const double least = std::ceil(area / ((kRoom.width() + 3.0) * (kRoom.height() + 3.0)));
  EXPECT_LE(static_cast<double>(sheets), 2.0 * least);
}

TEST(PackSheets, EqualOutlinesRunOnInTheirOrder) {
  const std::vector<Path> outlines(12, rectangle({{0, 0}, {40, 50}}));
  const auto spots = pack_sheets(outlines, kRoom);
  for (std::size_t i = 1; i < spots.size(); ++i) {
    const Affine& a = spots[i - 1].sheet_from_item;
    const Affine& b = spots[i].sheet_from_item;
    EXPECT_TRUE(b.ty > a.ty || (b.ty == a.ty && b.tx > a.tx)) << i;
  }
}

TEST(PackSheets, AnOutlineThatJustFitsIsTakenAndALargerOneRefused) {
  const Path fitting = rectangle({{0, 0}, {kRoom.width(), kRoom.height()}});
  EXPECT_TRUE(fits(fitting, kRoom));
  EXPECT_EQ(pack_sheets({fitting, fitting}, kRoom)[1].sheet, 1U);
  const Path larger = rectangle({{0, 0}, {kRoom.width() + 0.1, 10}});
  EXPECT_FALSE(fits(larger, kRoom));
  EXPECT_THROW(pack_sheets({larger}, kRoom), GeometryError);
}

}  // namespace
}  // namespace underdraw
