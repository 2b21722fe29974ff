#include "photo/mat.h"

#include <set>

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/prove_mat.h"
#include "io/write_drawing.h"
#include "sheet/shapes.h"

namespace underdraw {
namespace {

MatOptions options_of(const MatLayout& mat) {
  MatOptions options;
  options.paper = mat.paper.name;
  options.foot_mm = 80.0;
  if (mat.form == MatForm::tile) options.tile_mm = Vec2{100.0, 100.0};
  return options;
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
    const std::string pdf = mat_pdf(options_of(mat));
    EXPECT_EQ(mat_of_pdf(pdf, "mat.pdf"), &mat);
    const MatProof proof = prove_mat(pdf, "mat.pdf", mat);
    EXPECT_TRUE(proof.ok) << mat.name;
    ASSERT_TRUE(proof.across_mm && proof.down_mm) << mat.name;
    EXPECT_NEAR(*proof.across_mm, 100.0, 0.03) << mat.name;
    EXPECT_NEAR(*proof.down_mm, 100.0, 0.03) << mat.name;
    EXPECT_EQ(proof.corners, mat.saddles.size()) << mat.name;
    EXPECT_LT(proof.worst_corner_mm, 0.02) << mat.name;
  }
}

// What the proof is for: a drawing that came out half a percent too small, one without its band.
TEST(Mat, TheProofSeesAMatThatIsNotTrue) {
  MatOptions options;
  const MatLayout& mat = mat_layout("A4", MatForm::round);
  Drawing small = draw_mat(options);
  for (Mark& mark : small.marks) {
    mark = moved(mark, Affine::scale(0.995));
  }
  const MatProof shrunk = prove_mat(pdf_of_drawings({small}), "mat.pdf", mat);
  EXPECT_FALSE(shrunk.ok);
  EXPECT_GT(shrunk.worst_corner_mm, 0.5);
  const Drawing blank{210.0, 297.0, {}};
  const MatProof empty = prove_mat(pdf_of_drawings({blank}), "mat.pdf", mat);
  EXPECT_FALSE(empty.ok);
  EXPECT_EQ(empty.corners, 0U);
  EXPECT_EQ(mat_of_pdf(pdf_of_drawings({blank}), "mat.pdf"), nullptr);
  EXPECT_THROW(mat_of_pdf("not a PDF", "mat.pdf"), InputError);
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
