#include "photo/drawing_sheet.h"

#include <set>

#include <gtest/gtest.h>

#include "core/error.h"
#include "photo/mat.h"

namespace underdraw::test {
namespace {

// No source: the project's own numbering.
TEST(DrawingSheet, SharesNoCodeWithAnyMat) {
  for (const MatLayout& mat : all_mats()) {
    for (const MatMark& mark : mat.marks) {
      EXPECT_LT(mark.code, kFirstSheetCode) << mat.name;
      EXPECT_FALSE(sheet_mark_of_code(mark.code)) << mat.name;
    }
  }
  for (const std::string& paper : paper_names()) {
    SheetKind kind;
    kind.paper = paper;
    kind.page = kMostSheetPage;
    for (const SheetMark& mark : drawing_sheet(kind).marks) {
      EXPECT_EQ(mat_with_code(mark.code), nullptr);
      EXPECT_LT(mark.code, 1000);  // as many as the dictionary has
    }
  }
}

TEST(DrawingSheet, ItsMarksSayPaperGridAndPage) {
  int page = 1;
  std::set<std::vector<int>> seen;
  for (const std::string& paper : paper_names()) {
    for (int columns = 1; columns <= 4; ++columns) {
      for (int rows = 1; rows <= 6; ++rows) {
        SheetKind kind;
        kind.paper = paper;
        kind.grid = {columns, rows};
        kind.page = page;
        page = (page * 7) % kMostSheetPage + 1;
        std::vector<int> codes;
        for (const SheetMark& mark : drawing_sheet(kind).marks) codes.push_back(mark.code);
        EXPECT_EQ(std::set<int>(codes.begin(), codes.end()).size(), 16U);
        EXPECT_TRUE(seen.insert(codes).second);
        EXPECT_EQ(kind_of_codes(codes), kind);
      }
    }
  }
}

TEST(DrawingSheet, IsKnownWithAnyThreeMarksHidden) {
  SheetKind kind;
  kind.paper = "Legal";
  kind.grid = {3, 5};
  kind.page = 344;
  const DrawingSheet sheet = drawing_sheet(kind);
  for (std::size_t a = 0; a < 16; ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      for (std::size_t c = 0; c < b; ++c) {
        std::vector<int> codes;
        for (std::size_t i = 0; i < 16; ++i) {
          if (i != a && i != b && i != c) codes.push_back(sheet.marks[i].code);
        }
        EXPECT_EQ(kind_of_codes(codes), kind);
      }
    }
  }
}

TEST(DrawingSheet, IsNotKnownFromTwoSheetsAtOnce) {
  SheetKind first, second;
  second.page = 2;
  std::vector<int> codes;
  for (const SheetMark& mark : drawing_sheet(first).marks) codes.push_back(mark.code);
  for (const SheetMark& mark : drawing_sheet(second).marks) codes.push_back(mark.code);
  EXPECT_FALSE(kind_of_codes(codes));
  EXPECT_FALSE(kind_of_codes({}));
  EXPECT_FALSE(kind_of_codes({3, 17, 404}));
}

TEST(DrawingSheet, ItsFramesKeepClearOfMarksAndOfEachOther) {
  for (const std::string& paper : paper_names()) {
    for (const FrameGrid grid : {FrameGrid{1, 1}, FrameGrid{2, 3}, FrameGrid{4, 6}}) {
      SheetKind kind;
      kind.paper = paper;
      kind.grid = grid;
      const DrawingSheet sheet = drawing_sheet(kind);
      ASSERT_EQ(sheet.frames.size(), static_cast<std::size_t>(grid.columns * grid.rows));
      for (std::size_t i = 0; i < sheet.frames.size(); ++i) {
        const Box reach = sheet.frames[i].grown(kOverFrameMm);
        EXPECT_GE(sheet.frames[i].width(), 30.0);
        EXPECT_GE(sheet.frames[i].height(), 25.0);
        EXPECT_TRUE(sheet.frame.work.contains(reach));
        for (const SheetMark& mark : sheet.marks) EXPECT_FALSE(mark.box.overlaps(reach));
        for (std::size_t k = 0; k < i; ++k) {
          EXPECT_FALSE(reach.overlaps(sheet.frames[k].grown(kOverFrameMm)));
        }
      }
    }
  }
}

TEST(DrawingSheet, MakesTheGridWhoseFramesAreNearestToSquare) {
  EXPECT_EQ(grid_of(6, "A4"), (FrameGrid{2, 3}));
  EXPECT_EQ(grid_of(1, "A4"), (FrameGrid{1, 1}));
  EXPECT_EQ(grid_of(12, "A3"), (FrameGrid{3, 4}));
  EXPECT_THROW(grid_of(7, "A4"), OptionError);
  EXPECT_THROW(grid_of(0, "A4"), OptionError);
}

TEST(DrawingSheet, NamesGoOnOverThePages) {
  BlankSheets sheets;
  sheets.first.grid = {1, 2};
  sheets.pages = 2;
  sheets.names = {"thistle", "kelp", "scallop"};
  const std::vector<Drawing> pages = draw_blank_sheets(sheets);
  ASSERT_EQ(pages.size(), 2U);
  const auto says = [](const Drawing& page, const std::string& words) {
    for (const Mark& mark : page.marks) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text && text->text == words) return true;
    }
    return false;
  };
  EXPECT_TRUE(says(pages[0], "kelp"));
  EXPECT_FALSE(says(pages[0], "scallop"));
  EXPECT_TRUE(says(pages[1], "scallop"));
  EXPECT_TRUE(says(pages[1], "Drawing sheet 2"));
  sheets.names = {"a", "b", "c", "d", "e"};
  EXPECT_THROW(draw_blank_sheets(sheets), OptionError);
}

}  // namespace
}  // namespace underdraw::test
