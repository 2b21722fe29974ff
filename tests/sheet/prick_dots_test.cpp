#include "sheet/prick_dots.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "geometry/linework.h"
#include "sheet/sheet_lines.h"
#include "sheet_samples.h"

namespace underdraw {
namespace {

Linework one(const Path& path) {
  Linework lines;
  lines.strokes.push_back({path, 0.5});
  return lines;
}

double nearest(const std::vector<Vec2>& dots, Vec2 at) {
  double least = 1e9;
  for (const Vec2 dot : dots) least = std::min(least, distance(dot, at));
  return least;
}

TEST(PrickDots, AStraightLineIsPrickedAtItsEndsAndEvenlyBetween) {
  // 10 mm at 1.75 at most: six steps of 1.667.
  const std::vector<Vec2> dots = prick_dots(one(Path::polyline({{2, 3}, {12, 3}})), 1.75);
  ASSERT_EQ(dots.size(), 7U);
  for (int k = 0; k <= 6; ++k) EXPECT_LT(nearest(dots, {2.0 + 10.0 * k / 6.0, 3.0}), 1e-6) << k;
}

TEST(PrickDots, CornersAreAlwaysPricked) {
  const std::vector<Vec2> corners = {{0, 0}, {7, 0}, {3, 4}, {9.3, 5.1}};
  for (const double pitch : {1.5, 1.75, 2.0}) {
    const std::vector<Vec2> dots = prick_dots(one(Path::polyline(corners)), pitch);
    for (const Vec2 corner : corners) EXPECT_LT(nearest(dots, corner), 1e-6);
  }
}

TEST(PrickDots, HolesOfARoundLineAreEquallyFarApart) {
  constexpr double kRadius = 9.0;
  constexpr double kHandle = 0.5522847498 * kRadius;  // of a quarter circle
  Path circle;
  circle.append({{kRadius, 0}, {kRadius, kHandle}, {kHandle, kRadius}, {0, kRadius}});
  circle.append({{0, kRadius}, {-kHandle, kRadius}, {-kRadius, kHandle}, {-kRadius, 0}});
  circle.append({{-kRadius, 0}, {-kRadius, -kHandle}, {-kHandle, -kRadius}, {0, -kRadius}});
  circle.append({{0, -kRadius}, {kHandle, -kRadius}, {kRadius, -kHandle}, {kRadius, 0}});
  circle.closed = true;
  const std::vector<Vec2> dots = prick_dots(one(circle), 2.0);
  ASSERT_EQ(dots.size(), 29U);  // 2 pi 9 / 2 = 28.3 steps, rounded up
  std::vector<double> angles;
  for (const Vec2 dot : dots) angles.push_back(std::atan2(dot.y, dot.x));
  std::sort(angles.begin(), angles.end());
  for (std::size_t k = 1; k < angles.size(); ++k) {
    EXPECT_NEAR(angles[k] - angles[k - 1], 2.0 * std::numbers::pi / 29.0, 0.002);
  }
}

TEST(PrickDots, EveryPlaceOfADrawingHasAHoleWithinAPitch) {
  constexpr double kPitch = 1.75;
  const Motif motif = kelp_motif();
  const std::vector<Vec2> dots = prick_dots(motif.lines, kPitch);
  for (const Stroke& stroke : motif.lines.strokes) {
    for (const Vec2 end : {stroke.path.points.front(), stroke.path.points.back()}) {
      EXPECT_LT(nearest(dots, end), 0.4);
    }
    for (const Vec2 p : sample(stroke.path, 0.2)) {
      // Holes beside it may stand in for one that would tear the paper.
      EXPECT_LT(nearest(dots, p), kPitch);
    }
  }
  for (std::size_t i = 0; i < dots.size(); ++i) {
    for (std::size_t j = i + 1; j < dots.size(); ++j) EXPECT_GT(distance(dots[i], dots[j]), 0.39);
  }
}

TEST(SheetLines, HolesAreTheSameHoweverTheCutOutIsTurnedOrMirrored) {
  const Motif motif = kelp_motif();
  SheetOptions options;
  options.paper = paper_size("A4");
  options.method = TransferMethod::pricked;
  const Affine upright = Affine::scale(0.8);
  const Affine turned = Affine::translate({50, 70}) * Affine::turn_deg(33.0) * Affine::mirror_x() *
                        Affine::scale(0.8);
  const Linework a = sheet_lines(motif, upright, options).ink;
  const Linework b = sheet_lines(motif, turned, options).ink;
  ASSERT_EQ(a.strokes.size(), b.strokes.size());
  ASSERT_GT(a.strokes.size(), 100U);
  const Affine b_from_a = turned * upright.inverse();
  for (std::size_t i = 0; i < a.strokes.size(); ++i) {
    EXPECT_LT(distance(b_from_a * a.strokes[i].path.points[0], b.strokes[i].path.points[0]), 1e-6);
  }
}

TEST(SheetLines, OtherMethodsPrintTheDrawingItself) {
  const Motif motif = kelp_motif();
  for (const std::string& name : transfer_names()) {
    SheetOptions options;
    options.method = transfer_method(name);
    const SheetLines lines = sheet_lines(motif, {}, options);
    const bool pricked = options.method == TransferMethod::pricked;
    EXPECT_EQ(lines.guide.empty(), !pricked) << name;
    if (!pricked) {
      EXPECT_EQ(lines.ink.strokes.size(), motif.lines.strokes.size()) << name;
    }
  }
}

}  // namespace
}  // namespace underdraw
