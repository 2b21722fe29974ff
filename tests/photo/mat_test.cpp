#include "photo/mat.h"

#include <set>

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/out_folder.h"
#include "io/read_pages.h"
#include "io/write_drawing.h"
#include "photo/find_saddle.h"
#include "sheet/proof.h"
#include "support/own_folder.h"

namespace underdraw {
namespace {

MatOptions options_of(const MatLayout& mat) {
  MatOptions options;
  options.paper = mat.paper.name;
  options.foot_mm = 80.0;
  if (mat.form == MatForm::tile) options.tile_mm = Vec2{100.0, 100.0};
  return options;
}

// The PDF as poppler renders it.
Page printed(const Drawing& drawing, double dpi) {
  const test::OwnFolder folder;
  const std::string file = (folder.path() / "mat.pdf").string();
  write_file(file, pdf_of_drawings({drawing}), Overwrite::no);
  return PageFile::open(file, {.dpi = dpi}).read(1);
}

TEST(Mat, NoTwoMatsShareACode) {
  std::set<int> codes;
  std::size_t count = 0;
  for (const MatLayout& mat : all_mats()) {
    for (const MatMark& mark : mat.marks) {
      codes.insert(mark.code);
      ++count;
      EXPECT_EQ(mat_with_code(mark.code), &mat);
    }
  }
  EXPECT_EQ(codes.size(), count);
  EXPECT_EQ(mat_with_code(99), nullptr);
}

TEST(Mat, LiesInsideThePrintableMargins) {
  for (const MatLayout& mat : all_mats()) {
    const Vec2 half = Vec2{mat.columns * mat.square_mm, mat.rows * mat.square_mm} / 2.0;
    const Box band{mat.middle - half, mat.middle + half};
    EXPECT_TRUE(mat.frame.work.grown(1e-9).contains(band)) << mat.name;
    EXPECT_GE(mat.saddles.size(), 50U) << mat.name;
  }
}

TEST(Mat, BarsAndCornersAreTrueInThePrintedPdf) {
  for (const MatLayout& mat : all_mats()) {
    const Page page = printed(draw_mat(options_of(mat)), 600.0);
    SheetPlan plan;
    plan.options.paper = mat.paper;
    plan.frame = mat.frame;
    plan.sheets.resize(1);
    const GreyView view{
        page.grey.data, page.grey.cols, page.grey.rows, page.grey.step, 600.0 / 25.4};
    const SheetProof proof = measure_sheet(plan, 0, view, {});
    ASSERT_TRUE(proof.across_mm && proof.down_mm) << mat.name;
    EXPECT_NEAR(*proof.across_mm, 100.0, 0.03) << mat.name;
    EXPECT_NEAR(*proof.down_mm, 100.0, 0.03) << mat.name;
    EXPECT_LT(proof.margin_ink_mm2, 0.01) << mat.name;
    EXPECT_TRUE(proof.sign_right) << mat.name;
    for (const MatSaddle& saddle : mat.saddles) {
      SaddleGuess guess;
      const double px_per_mm = 600.0 / 25.4;
      const Vec2 due = (mat.sheet_from_mat() * saddle.at) * px_per_mm;
      guess.px = due + Vec2{2.0, -1.0};
      guess.px_per_right = {px_per_mm, 0.0};
      guess.px_per_up = {0.0, -px_per_mm};
      guess.rising = saddle.rising;
      guess.edge_mm = 0.36 * mat.square_mm;
      guess.beside_mm = 0.085 * mat.square_mm;
      const auto fit = find_saddle(page.grey, guess);
      ASSERT_TRUE(fit) << mat.name;
      EXPECT_LT(distance(fit->px, due) / px_per_mm, 0.02) << mat.name;
    }
  }
}

TEST(Mat, RefusesWhatThePaperHasNoRoomFor) {
  MatOptions options;
  options.foot_mm = 100.0;
  EXPECT_NO_THROW(draw_mat(options));
  options.foot_mm = 101.0;
  EXPECT_THROW(draw_mat(options), OptionError);
  options.paper = "A3";
  EXPECT_NO_THROW(draw_mat(options));
  options.tile_mm = Vec2{150.0, 150.0};
  EXPECT_NO_THROW(draw_mat(options));
  options.paper = "A4";
  EXPECT_THROW(draw_mat(options), OptionError);
  options.tile_mm = {};
  options.paper = "Legal";
  EXPECT_THROW(draw_mat(options), OptionError);
}

}  // namespace
}  // namespace underdraw
