#include "scan/lift_colour.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "scan/ink_density.h"
#include "support/pencil_page.h"
#include "support/ruled_paper.h"

namespace underdraw {
namespace {

using test::draw_pencil_page;
using test::page_of_pixels;
using test::PencilOptions;
using test::Through;
using test::with_coloured_lines;

constexpr double kPxPerMm = 300.0 / 25.4;

PencilOptions small_sheet(unsigned seed = 1) {
  PencilOptions options;
  options.seed = seed;
  options.page_width_mm = 80;
  options.page_height_mm = 70;
  options.folds = options.specks = options.smudges = 0;
  return options;
}

Linework zigzag() {
  Linework lines;
  lines.strokes.push_back(
      {Path::polyline({{10, 12}, {30, 55}, {40, 15}, {55, 58}, {68, 14}, {72, 50}}), 0.45});
  return lines;
}

Linework guides() {
  Linework lines;
  for (const double y : {15.0, 35.0, 55.0}) {
    lines.strokes.push_back({Path::polyline({{6, y}, {74, y + 1}}), 0.45});
  }
  return lines;
}

std::optional<Page> lifted(const cv::Mat& pixels) {
  const Page page = page_of_pixels(pixels, kPxPerMm);
  return lift_colour(page, paper_light(page), {});
}

cv::Mat density_of(const Page& page) {
  cv::Mat out = ink_density(page, paper_light(page), {0, 0, page.grey.cols, page.grey.rows});
  cv::GaussianBlur(out, out, {0, 0}, 0.05 * kPxPerMm);
  return out;
}

TEST(LiftColour, TakesGuidesOfAnyColourAndLeavesThePencil) {
  const cv::Mat pencil = draw_pencil_page(zigzag(), small_sheet()).grey;
  const cv::Mat blank = density_of(page_of_pixels(pencil, kPxPerMm));
  const cv::Mat drawn = blank > 0.3;
  cv::Mat near_drawn;
  cv::dilate(drawn, near_drawn, cv::Mat(), {-1, -1}, 5);
  for (const Through& ink : {test::kBluePencil, Through{0.85, 0.45, 0.40}, test::kGreenInk}) {
    const cv::Mat pixels = with_coloured_lines(pencil, guides(), ink, small_sheet(2));
    const std::optional<Page> page = lifted(pixels);
    ASSERT_TRUE(page) << ink;
    const cv::Mat density = density_of(*page);
    EXPECT_LT(cv::countNonZero((density > 0.07) & ~near_drawn), 30) << ink;
    EXPECT_NEAR(cv::mean(density, drawn)[0], cv::mean(blank, drawn)[0], 0.03) << ink;
  }
}

TEST(LiftColour, TakesACoffeeRingOnBrownPaper) {
  const cv::Mat pencil = draw_pencil_page(zigzag(), small_sheet()).grey;
  const cv::Mat brown = test::on_coloured_paper(pencil, {0.80, 0.66, 0.48});
  const std::optional<Page> page = lifted(test::with_coffee_ring(brown, kPxPerMm, {40, 35}, 24));
  ASSERT_TRUE(page);
  const cv::Mat density = density_of(*page);
  const cv::Mat blank = density_of(page_of_pixels(pencil, kPxPerMm));
  cv::Mat near_drawn;
  cv::dilate(blank > 0.3, near_drawn, cv::Mat(), {-1, -1}, 5);
  EXPECT_LT(cv::countNonZero((density > 0.07) & ~near_drawn), 30);
}

TEST(LiftColour, LeavesADrawingThatIsInColourItself) {
  const cv::Mat paper = draw_pencil_page({}, small_sheet()).grey;
  EXPECT_FALSE(lifted(with_coloured_lines(paper, zigzag(), test::kBluePencil, small_sheet(2))));
  // And where as much again is in pencil but less.
  Linework little;
  little.strokes.push_back({Path::polyline({{10, 62}, {50, 62}}), 0.45});
  const cv::Mat some = draw_pencil_page(little, small_sheet()).grey;
  EXPECT_FALSE(lifted(with_coloured_lines(some, zigzag(), test::kBluePencil, small_sheet(2))));
}

TEST(LiftColour, LeavesPagesWithoutColouredInk) {
  const cv::Mat pencil = draw_pencil_page(zigzag(), small_sheet()).grey;
  EXPECT_FALSE(lifted(pencil));
  EXPECT_FALSE(lifted(test::rgb_of_grey(pencil)));
  EXPECT_FALSE(lifted(test::on_coloured_paper(pencil, {0.80, 0.66, 0.48})));
}

}  // namespace
}  // namespace underdraw
