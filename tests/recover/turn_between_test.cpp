// A wall unrolled twice, turned and partly covered in between (tests/support/laid_out_face.h, which
// shares nothing with the matching). Bounds are a little above what was measured; no outside
// source.
#include "recover/turn_between.h"

#include <gtest/gtest.h>

#include "core/error.h"
#include "support/laid_out_face.h"

namespace underdraw::test {
namespace {

const Surface& wall() {
  static const Surface kWall =
      surface_of({"wall", TurnedFace{{{0, 280}, {40, 372}, {95, 300}}}, {}, 1.0});
  return kWall;
}

Unrolled stage(std::uint32_t noise, std::uint32_t coat_seed = 1) {
  Coat coat;
  coat.seed = coat_seed;
  LaidOut how;
  how.px_per_mm = 8.0;
  how.noise = 0.01;
  how.seed = noise;
  return laid_out(wall(), FaceTexture(wall(), {}, coat, 8.0), how);
}

Unrolled turned(const Unrolled& face, int columns) {
  Unrolled out = face;
  for (cv::Mat* layer : {&out.light, &out.colour, &out.trust, &out.steep}) {
    cv::Mat rolled(layer->size(), layer->type());
    layer->colRange(0, layer->cols - columns).copyTo(rolled.colRange(columns, layer->cols));
    layer->colRange(layer->cols - columns, layer->cols).copyTo(rolled.colRange(0, columns));
    *layer = rolled;
  }
  return out;
}

TEST(TurnBetween, IsToldByTheMarksThatStayed) {
  const Unrolled before = stage(1);
  Unrolled after = turned(stage(2), 41);
  // A new coat over two thirds of the wall, with brush marks of its own; some of it not seen.
  const Unrolled coat = stage(3, 77);
  const cv::Rect covered(0, 0, after.light.cols * 2 / 3, after.light.rows);
  coat.light(covered).copyTo(after.light(covered));
  after.trust(cv::Rect(after.light.cols - 300, 0, 200, after.light.rows)).setTo(0.0f);
  const auto turn = turn_between(before, after, wall());
  ASSERT_TRUE(turn);
  EXPECT_NEAR(turn->turn_deg, 41.0 / before.px_per_across, 0.03);
  EXPECT_NEAR(turn->up_mm, 0.0, 0.05);
  EXPECT_GT(turn->patches, 20U);
  EXPECT_LT(turn->scatter_mm, 0.1);
}

TEST(TurnBetween, IsNotGuessedWhereAllIsCovered) {
  EXPECT_FALSE(turn_between(stage(1), stage(2, 77), wall()));
}

TEST(TurnBetween, RefusesPicturesOfDifferentFaces) {
  Unrolled flat = stage(1);
  flat.round = false;
  EXPECT_THROW(turn_between(stage(1), flat, wall()), GeometryError);
  TurnBetweenOptions options;
  options.most_deg = 60.0;
  EXPECT_THROW(turn_between(stage(1), stage(2), wall(), options), OptionError);
}

}  // namespace
}  // namespace underdraw::test
