#include "scan/lift_ruling.h"

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
using test::print_ruling;
using test::printed;
using test::RulingOptions;

constexpr double kPxPerMm = 300.0 / 25.4;

PencilOptions small_sheet() {
  PencilOptions options;
  options.page_width_mm = 105;
  options.page_height_mm = 148;
  options.folds = options.specks = options.smudges = 0;
  options.grain = 0.2;
  return options;
}

struct Densities {
  cv::Mat ruled;
  cv::Mat lifted;
  cv::Mat blank;  // the same drawing on paper without ruling
};

// Evened as find_ink does before it looks for ink.
Densities densities_of(const Linework& lines, const RulingOptions& ruling) {
  const cv::Mat blank = draw_pencil_page(lines, small_sheet()).grey;
  const Page page = page_of_pixels(print_ruling(blank, kPxPerMm, ruling), kPxPerMm);
  const PaperLight light = paper_light(page);
  const auto density = [](const Page& p, const PaperLight& l) {
    cv::Mat out = ink_density(p, l, {0, 0, p.grey.cols, p.grey.rows});
    cv::GaussianBlur(out, out, {0, 0}, 0.05 * kPxPerMm);
    return out;
  };
  const Page lifted = lift_ruling(page, light, find_ruling(page, light));
  const Page plain = page_of_pixels(blank, kPxPerMm);
  return {density(page, light),
          density(lifted, paper_light(lifted)),
          density(plain, paper_light(plain))};
}

double share_above(const cv::Mat& density, double limit) {
  return static_cast<double>(cv::countNonZero(density > limit)) /
         static_cast<double>(density.total());
}

TEST(LiftRuling, LeavesBlankPaper) {
  const std::vector<std::pair<double, double>> forms = {
      {0.4, 0.0}, {1.0, 1.3}, {1.8, 0.0}, {1.8, 5.0}};
  for (const auto& [strength, skew_deg] : forms) {
    RulingOptions options;
    options.ink = printed(test::kGreyInk, strength);
    options.skew_deg = skew_deg;
    const Densities d = densities_of({}, options);
    ASSERT_GT(share_above(d.ruled, 0.05), 0.03);
    EXPECT_LT(share_above(d.lifted, 0.05), 0.0003) << strength << " " << skew_deg;
  }
}

// Strokes across, beside and along printed lines keep their darkness, and none is added.
TEST(LiftRuling, KeepsWhatIsDrawnOverAndAlongTheLines) {
  const double line_mm = 148 / 2.0 - test::kAcrossAboveMiddle_mm - 15.0;  // one of those across
  Linework lines;
  lines.strokes.push_back({Path::polyline({{20, 30}, {70, 110}}), 0.45});
  lines.strokes.push_back({Path::polyline({{15, line_mm}, {60, line_mm}}), 0.45});
  lines.strokes.push_back({Path::polyline({{15, line_mm + 5.5}, {60, line_mm + 5.5}}), 0.45});
  RulingOptions options;
  options.ink = printed(test::kGreyInk, 1.3);
  const Densities d = densities_of(lines, options);
  const cv::Mat drawn = d.blank > 0.35;
  cv::Mat near_drawn;
  cv::dilate(drawn, near_drawn, cv::Mat(), {-1, -1}, 4);
  ASSERT_GT(cv::countNonZero(drawn), 5000);
  EXPECT_NEAR(cv::mean(d.lifted, drawn)[0], cv::mean(d.blank, drawn)[0], 0.03);
  const cv::Mat lost = drawn & (d.lifted < 0.15);
  EXPECT_LT(cv::countNonZero(lost), 0.01 * cv::countNonZero(drawn));
  const cv::Mat added = (d.lifted > 0.1) & ~near_drawn;
  EXPECT_LT(cv::countNonZero(added), 40);
}

TEST(LiftRuling, DoesNotWriteToThePageItWasGiven) {
  const Page page = page_of_pixels(
      print_ruling(draw_pencil_page({}, small_sheet()).grey, kPxPerMm, {}), kPxPerMm);
  const cv::Mat before = page.grey.clone();
  const PaperLight light = paper_light(page);
  const Page lifted = lift_ruling(page, light, find_ruling(page, light));
  EXPECT_EQ(cv::norm(page.grey, before, cv::NORM_INF), 0.0);
  EXPECT_GT(cv::norm(lifted.grey, before, cv::NORM_INF), 20.0);
}

}  // namespace
}  // namespace underdraw
