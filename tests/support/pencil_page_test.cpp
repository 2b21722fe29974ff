#include "support/pencil_page.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <opencv2/core.hpp>

#include "core/error.h"
#include "support/bent_lines.h"
#include "support/stroke_raster.h"

namespace underdraw::test {
namespace {

constexpr double kPxPerMm = 300.0 / 25.4;

Linework one_line(Vec2 from, Vec2 to, double width_mm = 0.4) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({from, to}), width_mm});
  return lines;
}

PencilOptions small_clean() {
  PencilOptions options = PencilOptions::clean();
  options.page_width_mm = options.page_height_mm = 20.0;
  return options;
}

double ink(const cv::Mat& grey) { return 255.0 * double(grey.total()) - cv::sum(grey)[0]; }

// Mean x of the ink in one row, px, pixel centres at a half.
double ink_centre(const cv::Mat& grey, int row) {
  double sum = 0.0;
  double weighted = 0.0;
  for (int x = 0; x < grey.cols; ++x) {
    const double dark = 255.0 - grey.at<std::uint8_t>(row, x);
    sum += dark;
    weighted += dark * (x + 0.5);
  }
  return weighted / sum;
}

TEST(PencilPage, CleanUprightLineLiesWhereItWasAskedFor) {
  // Pixels blur an edge to their own centres by c (1 - c) / 2 for a share c; at a width of whole
  // pixels the two edges' errors cancel, so the ink's middle is the line's.
  for (const double shift_px : {0.0, 0.13, 0.25, 0.5, 0.61, 0.875}) {
    const double x_mm = (100.0 + shift_px) / kPxPerMm;
    const PencilPage page =
        draw_pencil_page(one_line({x_mm, 2}, {x_mm, 18}, 4.0 / kPxPerMm), small_clean());
    EXPECT_NEAR(ink_centre(page.grey, page.grey.rows / 2), 100.0 + shift_px, 0.003);
  }
}

TEST(PencilPage, BlurredUprightLineLiesWhereItWasAskedForAtAnyWidth) {
  PencilOptions options = small_clean();
  options.blur_mm = 0.05;
  for (const double width_mm : {0.3, 0.4, 0.55}) {
    for (const double shift_px : {0.0, 0.13, 0.25, 0.5, 0.61, 0.875}) {
      const double x_mm = (100.0 + shift_px) / kPxPerMm;
      const PencilPage page = draw_pencil_page(one_line({x_mm, 2}, {x_mm, 18}, width_mm), options);
      EXPECT_NEAR(ink_centre(page.grey, page.grey.rows / 2), 100.0 + shift_px, 0.01) << width_mm;
    }
  }
}

TEST(PencilPage, CleanSlantingLineLiesWhereItWasAskedFor) {
  const PencilPage page = draw_pencil_page(one_line({3, 2}, {14, 18}), small_clean());
  for (const int row : {60, 111, 163}) {
    const double y_mm = (row + 0.5) / kPxPerMm;
    EXPECT_NEAR(ink_centre(page.grey, row), (3 + 11 * (y_mm - 2) / 16) * kPxPerMm, 0.01);
  }
}

TEST(PencilPage, CleanLineHasTheWidthAskedFor) {
  for (const double width_mm : {0.05, 0.2, 0.4, 0.63}) {
    for (const Vec2 to : {Vec2{10, 17}, Vec2{15, 16}, Vec2{17, 4}}) {
      const PencilPage page = draw_pencil_page(one_line({4, 3}, to, width_mm), small_clean());
      const double round_ends = std::numbers::pi * width_mm * width_mm / 4.0;
      const double area_mm2 = distance({4, 3}, to) * width_mm + round_ends;
      const double seen_mm2 = ink(page.grey) / 255.0 / (kPxPerMm * kPxPerMm);
      EXPECT_NEAR(seen_mm2 / area_mm2, 1.0, 0.01) << width_mm;
    }
  }
}

TEST(PencilPage, DotIsADiscAndAnAreaIsFilled) {
  Linework lines;
  lines.strokes.push_back({Path{{{5.03, 5.01}}, false}, 0.8});
  const double dot = ink(draw_pencil_page(lines, small_clean()).grey) / 255.0;
  EXPECT_NEAR(dot / (kPxPerMm * kPxPerMm), std::numbers::pi * 0.16, 0.01);

  Linework square;
  square.areas.push_back(
      {{Path::polyline({{8.03, 8.04}, {12.53, 8.04}, {12.53, 11.54}, {8.03, 11.54}}, true)}});
  const double filled = ink(draw_pencil_page(square, small_clean()).grey) / 255.0;
  EXPECT_NEAR(filled / (kPxPerMm * kPxPerMm), 4.5 * 3.5, 0.1);
}

TEST(PencilPage, SkewTurnsTheTruthAndTheInkAlike) {
  PencilOptions options = small_clean();
  options.skew_deg = 2.0;
  const PencilPage page = draw_pencil_page(one_line({10, 2}, {10, 18}), options);
  const Vec2 top = page.truth.strokes.front().path.points.front();
  EXPECT_NEAR(top.x, 10 + 8 * std::sin(radians(2.0)), 1e-9);  // +x turns towards +y
  EXPECT_NEAR(top.y, 10 - 8 * std::cos(radians(2.0)), 1e-9);
  const int row = 50;
  const double above_mm = 10.0 - (row + 0.5) / kPxPerMm;
  EXPECT_NEAR(ink_centre(page.grey, row) / kPxPerMm, 10 + above_mm * std::tan(radians(2.0)), 0.001);
}

TEST(PencilPage, PencilInkKeepsToItsTruth) {
  // With every effect on, the ink's middle averages to the truth's line and the wobble is real.
  PencilOptions options;
  options.page_width_mm = options.page_height_mm = 60.0;
  options.folds = options.smudges = options.specks = 0;
  const PencilPage page = draw_pencil_page(one_line({30, 5}, {30, 55}, 0.45), options);
  double off_sum = 0.0;
  double moved_most = 0.0;
  int rows = 0;
  for (const Vec2 p : sample(page.truth.strokes.front().path, 0.05)) {
    moved_most = std::max(moved_most, std::abs(p.x - 30.0));
    if (p.y < 10.0 || p.y > 50.0) continue;
    const int row = static_cast<int>(p.y * kPxPerMm);
    double sum = 0.0;
    double weighted = 0.0;
    const int middle = static_cast<int>(p.x * kPxPerMm);
    for (int x = middle - 6; x <= middle + 6; ++x) {
      const double dark = std::max(0, 215 - page.grey.at<std::uint8_t>(row, x));
      sum += dark;
      weighted += dark * (x + 0.5);
    }
    ASSERT_GT(sum, 0.0) << "the line is broken at y = " << p.y;
    off_sum += weighted / sum / kPxPerMm - p.x;
    ++rows;
  }
  EXPECT_LT(std::abs(off_sum / rows), 0.01);
  EXPECT_GT(moved_most, 0.03);
  EXPECT_LT(moved_most, 0.4);
}

TEST(PencilPage, SameSeedSamePageOtherSeedOtherPage) {
  PencilOptions options;
  options.page_width_mm = options.page_height_mm = 20.0;
  const Linework lines = one_line({4, 3}, {16, 17});
  const cv::Mat first = draw_pencil_page(lines, options).grey;
  EXPECT_EQ(cv::norm(first, draw_pencil_page(lines, options).grey, cv::NORM_INF), 0.0);
  options.seed = 2;
  EXPECT_GT(cv::norm(first, draw_pencil_page(lines, options).grey, cv::NORM_INF), 0.0);
}

TEST(PencilPage, CleanPageEqualsThePlainDrawing) {
  const Linework lines = one_line({4, 3}, {16, 17});
  const PencilPage page = draw_pencil_page(lines, small_clean());
  const cv::Mat plain = draw_clean(lines, page.px_per_mm, page.grey.size());
  EXPECT_LE(cv::norm(page.grey, plain, cv::NORM_INF), 1.0);
}

// Width of the ink in one row of a clean page, mm, for an upright line.
double ink_width_mm(const cv::Mat& grey, int row) {
  return cv::sum(255.0 - cv::Mat(grey.row(row)))[0] / 255.0 / kPxPerMm;
}

TEST(PencilPage, OwnWidthsAreDrawnAndGivenBack) {
  Linework lines = one_line({10.03, 2}, {10.03, 18});
  lines.strokes.front().widths_mm = {0.3, 0.9, 0.5};
  const PencilPage page = draw_pencil_page(lines, small_clean());
  const Stroke& drawn = page.truth.strokes.front();
  EXPECT_NEAR(drawn.width_mm, 0.65, 0.005);
  ASSERT_EQ(drawn.widths_mm.size(), 65u);  // 16 mm in steps of 0.25
  EXPECT_NEAR(drawn.widths_mm.front(), 0.3, 1e-9);
  EXPECT_NEAR(drawn.widths_mm[32], 0.9, 1e-9);
  EXPECT_NEAR(drawn.widths_mm[48], 0.7, 1e-9);
  for (const int row : {60, 110, 150, 190}) {
    const double along_mm = (row + 0.5) / kPxPerMm - 2.0;
    const double asked_mm =
        along_mm < 8.0 ? 0.3 + 0.6 * along_mm / 8.0 : 0.9 - 0.4 * (along_mm - 8.0) / 8.0;
    EXPECT_NEAR(ink_width_mm(page.grey, row), asked_mm, 0.01) << row;
  }
}

TEST(PencilPage, PressureMovesTheWidthsThatAreGivenBack) {
  PencilOptions options = small_clean();
  options.width_swing = 0.3;
  const PencilPage page = draw_pencil_page(one_line({10.03, 2}, {10.03, 18}, 0.6), options);
  const std::vector<double>& widths = page.truth.strokes.front().widths_mm;
  EXPECT_GT(*std::ranges::max_element(widths) - *std::ranges::min_element(widths), 0.1);
  for (const int row : {60, 100, 140, 180}) {
    const double along = ((row + 0.5) / kPxPerMm - 2.0) / 0.25;
    const auto i = static_cast<std::size_t>(along);
    const double given = widths[i] + (widths[i + 1] - widths[i]) * (along - double(i));
    EXPECT_NEAR(ink_width_mm(page.grey, row), given, 0.01) << row;
  }
}

TEST(PencilPage, TiltMovesTheTruthAndTheInkAlike) {
  for (const double towards_deg : {0.0, 90.0, 200.0}) {
    PencilOptions options = small_clean();
    options.tilt_deg = 20.0;
    options.tilt_towards_deg = towards_deg;
    const PencilPage page = draw_pencil_page(one_line({5, 3}, {6, 18}, 0.6), options);
    const Stroke& seen = page.truth.strokes.front();
    EXPECT_GT(distance(seen.path.points.front(), {5, 3}), 0.2) << "nothing moved";
    for (const Vec2 p : sample(seen.path, 1.0)) {
      if (p.y < 5.0 || p.y > 15.0) continue;
      // The row through a pixel's middle: step along the line to there.
      const int row = static_cast<int>(p.y * kPxPerMm);
      const Vec2 way = normalized(seen.path.points.back() - seen.path.points.front());
      const double x = p.x + ((row + 0.5) / kPxPerMm - p.y) * way.x / way.y;
      EXPECT_NEAR(ink_centre(page.grey, row) / kPxPerMm, x, 0.002) << towards_deg;
      const auto i = static_cast<std::size_t>(distance(p, seen.path.points.front()) / 0.25);
      EXPECT_NEAR(ink_width_mm(page.grey, row) * way.y, seen.widths_mm[i], 0.01) << towards_deg;
    }
  }
}

TEST(BentLines, TiltIsUndoneAndItsStepsAreItsOwn) {
  const Tilt tilt(15.0, 35.0, 180.0, {60.0, 45.0});
  for (const Vec2 p : {Vec2{60, 45}, Vec2{3, 4}, Vec2{110, 80}, Vec2{20, 70}}) {
    EXPECT_LT(distance(tilt.unmoved(tilt.moved(p)), p), 1e-9);
    for (const Vec2 by : {Vec2{1e-5, 0}, Vec2{0, 1e-5}}) {
      const Vec2 step = tilt.moved(p + by) - tilt.moved(p);
      EXPECT_LT(distance(tilt.turned(p, by), step), 1e-10);
    }
  }
  EXPECT_LT(distance(tilt.moved({60, 45}), {60, 45}), 1e-12);
  // What is farther away is smaller.
  const Vec2 far = Vec2{60, 45} + Vec2{std::cos(radians(35)), std::sin(radians(35))} * 40.0;
  EXPECT_LT(tilt.width_factor(tilt.moved(far), {}), tilt.width_factor({60, 45}, {}));
  // Across the tilt the middle keeps its scale, so a line along the tilt keeps its width.
  EXPECT_NEAR(
      tilt.width_factor({60, 45}, {std::cos(radians(35)), std::sin(radians(35))}), 1.0, 1e-9);
}

TEST(PencilPage, TheBackShowsThroughMirroredAndFaint) {
  PencilOptions options = small_clean();
  options.back = one_line({5, 2}, {5, 18}, 1.0);
  options.show_through = 0.1;
  const PencilPage page = draw_pencil_page({}, options);
  EXPECT_TRUE(page.truth.empty());
  const int row = page.grey.rows / 2;
  EXPECT_NEAR(ink_centre(page.grey, row) / kPxPerMm, 15.0, 0.05);
  EXPECT_NEAR(page.grey.at<std::uint8_t>(row, static_cast<int>(15.0 * kPxPerMm)), 255 * 0.9, 2.0);
}

TEST(PencilPage, ColourPagesTintThePaperAndLeaveThePencilNeutral) {
  PencilOptions options = small_clean();
  options.paper_grey = 240.0;
  options.pen_grey = 40.0;
  options.colour = true;
  options.paper_tint = {0.8, 0.9, 1.0};
  const PencilPage page = draw_pencil_page(one_line({10, 2}, {10, 18}, 1.0), options);
  const cv::Vec3b paper = page.colour.at<cv::Vec3b>(100, 20);
  EXPECT_EQ(paper, cv::Vec3b(192, 216, 240));
  const cv::Vec3b pencil = page.colour.at<cv::Vec3b>(100, static_cast<int>(10 * kPxPerMm));
  EXPECT_EQ(pencil, cv::Vec3b(40, 40, 40));
  EXPECT_EQ(page.grey.type(), CV_8UC1);
}

TEST(PencilPage, VignetteDarkensTheCornersOnly) {
  PencilOptions options = small_clean();
  options.vignette = 0.4;
  const cv::Mat grey = draw_pencil_page({}, options).grey;
  EXPECT_EQ(grey.at<std::uint8_t>(grey.rows / 2, grey.cols / 2), 255);
  EXPECT_NEAR(grey.at<std::uint8_t>(0, 0), 255 * 0.6, 3.0);
  EXPECT_NEAR(grey.at<std::uint8_t>(grey.rows - 1, grey.cols - 1), 255 * 0.6, 3.0);
}

TEST(PencilPage, OddOptionsAreRefusedByName) {
  PencilOptions options;
  options.dpi = std::nan("");
  EXPECT_THROW(draw_pencil_page({}, options), OptionError);
}

}  // namespace
}  // namespace underdraw::test
