#include "geometry/linework.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

TEST(Affine, QuarterTurnsAreExactAndGoFromXTowardsY) {
  const Affine quarter = Affine::turn_deg(90);
  EXPECT_EQ(quarter * Vec2(1, 0), Vec2(0, 1));
  EXPECT_EQ(quarter * (quarter * (quarter * (quarter * Vec2(3, 7)))), Vec2(3, 7));
}

TEST(Affine, InverseUndoes) {
  const Affine a =
      Affine::translate({3, -2}) * Affine::turn_deg(33) * Affine::mirror_x() * Affine::scale(1.7);
  const Vec2 p{12.5, -7.25};
  EXPECT_LT(distance(a.inverse() * (a * p), p), 1e-12);
  EXPECT_LT(a.determinant(), 0.0);
  EXPECT_NEAR(a.length_factor(), 1.7, 1e-12);
}

TEST(Linework, MirroredTwiceIsTheOriginalToTheLastBit) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{0.1, 0.2}, {3.3, 4.7}, {9.1, 1.3}}), 0.45});
  const Linework twice = transformed(transformed(lines, Affine::mirror_x()), Affine::mirror_x());
  EXPECT_EQ(twice.strokes[0].path.points, lines.strokes[0].path.points);
  EXPECT_EQ(twice.strokes[0].width_mm, lines.strokes[0].width_mm);
}

TEST(Linework, PenWidthsScaleWithTheDrawing) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{0.0, 0.0}, {3.0, 4.0}}), 0.5, {0.4, 0.6}});
  const Linework twice = transformed(lines, Affine::turn_deg(20) * Affine::scale(2.0));
  EXPECT_NEAR(twice.strokes[0].width_mm, 1.0, 1e-12);
  ASSERT_EQ(twice.strokes[0].widths_mm.size(), 2U);
  EXPECT_NEAR(twice.strokes[0].widths_mm[1], 1.2, 1e-12);
}

TEST(Linework, InkBoxIncludesThePenWidth) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{1, 1}, {5, 1}}), 0.6});
  EXPECT_DOUBLE_EQ(lines.ink_box().min.y, 0.7);
  EXPECT_DOUBLE_EQ(lines.ink_box().width(), 4.6);
}

}  // namespace
}  // namespace underdraw
