// Pages with ruling, guides and stains trace as the same drawing does on blank paper.
#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "sketches.h"
#include "support/compare_lines.h"
#include "support/pencil_page.h"
#include "support/ruled_paper.h"
#include "trace/trace_page.h"

namespace underdraw {
namespace {

using test::compare_lines;
using test::LineAgreement;
using test::page_of_pixels;
using test::PencilOptions;
using test::PencilPage;
using test::print_ruling;
using test::printed;
using test::RulingOptions;
using test::Through;

constexpr double kWidthMm = 105;
constexpr double kHeightMm = 148;

PencilOptions small_sheet(double dpi) {
  PencilOptions options;
  options.dpi = dpi;
  options.page_width_mm = kWidthMm;
  options.page_height_mm = kHeightMm;
  options.folds = options.smudges = 0;
  options.specks = 10;
  return options;
}

// Two of the sample's sketches, one above the other.
PencilPage two_sketches(double dpi) {
  Linework lines;
  Vec2 to{52, 40};
  for (const Linework& sketch : {harbour::draw_scallop(), harbour::draw_thistle()}) {
    lines.append(transformed(sketch, Affine::translate(to - sketch.ink_box().centre())));
    to.y += 68;
  }
  return draw_pencil_page(lines, small_sheet(dpi));
}

struct Traced {
  LineAgreement lines;
  std::size_t sketches = 0;
  std::vector<std::string> warnings;
};

Traced traced(const cv::Mat& pixels, const PencilPage& drawn, const TraceOptions& options = {}) {
  const TracedPage page = trace_page(page_of_pixels(pixels, drawn.px_per_mm), options);
  Linework all;
  for (const auto* list : {&page.sketches, &page.loose}) {
    for (const TracedSketch& sketch : *list) all.append(sketch.lines);
  }
  return {compare_lines(all, drawn.truth), page.sketches.size(), page.warnings};
}

// What ruling may cost beside the same page without.
void expect_as_good(const Traced& got, const Traced& blank, const std::string& what) {
  EXPECT_EQ(got.sketches, blank.sketches) << what;
  EXPECT_GT(got.lines.recall, blank.lines.recall - 0.012) << what;
  EXPECT_GT(got.lines.precision, blank.lines.precision - 0.012) << what;
  EXPECT_LT(got.lines.rms_mm, blank.lines.rms_mm + 0.003) << what;
}

RulingOptions squared(const Through& ink, double skew_deg = 0.0) {
  RulingOptions options;
  options.ink = ink;
  options.skew_deg = skew_deg;
  return options;
}

RulingOptions lined(const Through& ink) {
  RulingOptions options;
  options.step_mm = 8.0;
  options.down = false;
  options.margin_line_mm = 14.0;
  options.ink = ink;
  return options;
}

using Form = std::pair<const char*, RulingOptions>;

void expect_cost_next_to_nothing(const std::vector<Form>& forms) {
  const PencilPage drawn = two_sketches(300);
  const Traced blank = traced(drawn.grey, drawn);
  ASSERT_EQ(blank.sketches, 2U);
  ASSERT_GT(blank.lines.recall, 0.95);
  for (const auto& [what, options] : forms) {
    const cv::Mat colour = test::rgb_of_grey(drawn.grey);
    const Traced got = traced(print_ruling(colour, drawn.px_per_mm, options), drawn);
    expect_as_good(got, blank, what);
    for (const std::string& warning : got.warnings) {
      EXPECT_EQ(warning.find("--ruling"), std::string::npos) << what << ": " << warning;
    }
  }
}

TEST(Ruling, InGreyCostsTheDrawingNextToNothing) {
  RulingOptions bent = squared(test::kGreyInk, -1.0);
  bent.bend_mm = 1.0;
  bent.tilt = 0.06;
  expect_cost_next_to_nothing({
      {"grey squares", squared(test::kGreyInk)},
      {"faint squares", squared(printed(test::kGreyInk, 0.35))},
      {"strong squares askew", squared(printed(test::kGreyInk, 1.7), 3.0)},
      {"dark lines and a red margin", lined(printed(test::kGreyInk, 1.5))},
      {"bent and tilted squares", bent},
  });
}

TEST(Ruling, InColourCostsTheDrawingNextToNothing) {
  RulingOptions fine = squared(printed(test::kBlueInk, 0.7), 1.0);
  fine.step_mm = 1.0;
  fine.width_mm = 0.12;
  expect_cost_next_to_nothing({
      {"violet squares", squared(test::kVioletInk, 0.7)},
      {"green squares", squared(test::kGreenInk)},
      {"blue lines and a red margin", lined(test::kBlueInk)},
      {"millimetres", fine},
  });
}

TEST(Ruling, CostsNextToNothingAt600DpiAndInGrey) {
  const PencilPage drawn = two_sketches(600);
  const Traced blank = traced(drawn.grey, drawn);
  for (const Through& ink : {test::kGreyInk, test::kBlueInk}) {
    expect_as_good(
        traced(print_ruling(drawn.grey, drawn.px_per_mm, squared(ink, 2.0)), drawn), blank, "600");
  }
}

TEST(Ruling, IsTracedWhenItIsKept) {
  const PencilPage drawn = two_sketches(300);
  const cv::Mat pixels =
      print_ruling(drawn.grey, drawn.px_per_mm, squared(printed(test::kGreyInk, 1.5)));
  EXPECT_LT(traced(pixels, drawn, {.keep_ruling = true}).lines.precision, 0.6);
  EXPECT_GT(traced(pixels, drawn).lines.precision, 0.95);
}

TEST(Ruling, GuidesInColourAndCoffeeAreLeftOutWithAWarning) {
  const PencilPage drawn = two_sketches(300);
  const Traced blank = traced(drawn.grey, drawn);
  Linework guides;
  for (const double y : {18.0, 40.0, 62.0, 108.0}) {
    guides.strokes.push_back({Path::polyline({{12, y}, {93, y + 1}}), 0.45});
  }
  guides.strokes.push_back({Path::polyline({{52, 6}, {52.5, 142}}), 0.45});
  PencilOptions hand = small_sheet(300);
  hand.seed = 5;
  const cv::Mat guided = with_coloured_lines(drawn.grey, guides, test::kBluePencil, hand);
  const cv::Mat stained = test::with_coffee_ring(
      test::on_coloured_paper(drawn.grey, {0.80, 0.66, 0.48}), drawn.px_per_mm, {50, 70}, 34);
  const cv::Mat both = print_ruling(guided, drawn.px_per_mm, squared(test::kVioletInk));
  for (const cv::Mat& pixels : {guided, stained, both}) {
    const Traced got = traced(pixels, drawn);
    expect_as_good(got, blank, "in colour");
    ASSERT_EQ(got.warnings.size(), 1U);
    EXPECT_NE(got.warnings[0].find("--ruling keep"), std::string::npos);
  }
  EXPECT_LT(traced(guided, drawn, {.keep_ruling = true}).lines.precision, 0.9);
}

TEST(Ruling, ADrawingInBluePenIsTracedOnBlueSquares) {
  PencilOptions paper = small_sheet(300);
  const PencilPage pencil = two_sketches(300);
  const cv::Mat bare = draw_pencil_page({}, paper).grey;
  Linework lines = pencil.truth;
  paper.wobble_mm = 0.0;  // the truth has it already
  const cv::Mat blue = with_coloured_lines(bare, lines, {0.25, 0.40, 0.75}, paper);
  const Traced blank = traced(blue, pencil);
  ASSERT_GT(blank.lines.recall, 0.95);
  expect_as_good(traced(print_ruling(blue, pencil.px_per_mm, squared(test::kBlueInk)), pencil),
                 blank,
                 "blue pen");
}

}  // namespace
}  // namespace underdraw
