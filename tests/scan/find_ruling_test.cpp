#include "scan/find_ruling.h"

#include <gtest/gtest.h>

#include "support/pencil_page.h"
#include "support/ruled_paper.h"

namespace underdraw {
namespace {

using test::draw_pencil_page;
using test::page_of_pixels;
using test::PencilOptions;
using test::PencilPage;
using test::print_ruling;
using test::printed;
using test::RulingOptions;

constexpr double kPxPerMm = 300.0 / 25.4;

// A sheet of A6 with a few strokes on it.
PencilOptions small_sheet() {
  PencilOptions options;
  options.page_width_mm = 105;
  options.page_height_mm = 148;
  options.folds = 0;
  return options;
}

Linework some_strokes() {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{30, 40}, {75, 95}}), 0.45});
  lines.strokes.push_back({Path::polyline({{75, 40}, {30, 95}}), 0.45});
  lines.strokes.push_back({Path::polyline({{30, 68.2}, {75, 68.2}}), 0.45});
  return lines;
}

Ruling ruling_of(const cv::Mat& pixels) {
  const Page page = page_of_pixels(pixels, kPxPerMm);
  return find_ruling(page, paper_light(page));
}

Ruling ruling_of_drawing(const Linework& lines, const PencilOptions& options) {
  return ruling_of(draw_pencil_page(lines, options).grey);
}

TEST(FindRuling, FindsEveryLineOfSquaredPaperWhereItIs) {
  const PencilPage drawn = draw_pencil_page(some_strokes(), small_sheet());
  for (const double strength : {0.4, 1.0, 1.8}) {
    RulingOptions options;
    options.ink = printed(test::kGreyInk, strength);
    const Ruling found = ruling_of(print_ruling(drawn.grey, kPxPerMm, options));
    for (const bool down : {false, true}) {
      const RuledDirection& direction = down ? found.down : found.across;
      const double side_mm = down ? 105 : 148;
      const double offset_mm = down ? test::kDownLeftOfMiddle_mm : test::kAcrossAboveMiddle_mm;
      EXPECT_NEAR(direction.spacing_mm, 5.0, 0.02);
      ASSERT_NEAR(static_cast<double>(direction.lines.size()), side_mm / 5.0, 1.0);
      for (const RuledLine& line : direction.lines) {
        for (const double along_mm : {12.0, 50.0, 90.0}) {
          const double at = direction.at(line, along_mm * kPxPerMm) / kPxPerMm;
          const double number = (at - side_mm / 2.0 + offset_mm) / 5.0;
          EXPECT_NEAR(number, std::round(number), 0.05 / 5.0) << at << " " << strength;
        }
      }
    }
  }
}

TEST(FindRuling, FindsLinesThatAreAskewBentOrPhotographed) {
  const PencilPage drawn = draw_pencil_page(some_strokes(), small_sheet());
  std::vector<RulingOptions> forms(4);
  forms[0].skew_deg = 5.0;
  forms[1].skew_deg = -3.0;
  forms[2].bend_mm = 1.5;
  forms[2].tilt = 0.08;
  forms[3].unprinted_mm = 5.0;
  for (const RulingOptions& options : forms) {
    const Ruling found = ruling_of(print_ruling(drawn.grey, kPxPerMm, options));
    EXPECT_GE(found.across.lines.size(), 26U) << options.skew_deg << " " << options.bend_mm;
    EXPECT_GE(found.down.lines.size(), 18U) << options.skew_deg << " " << options.bend_mm;
  }
}

TEST(FindRuling, FindsTheMarginLineOfLinedPaper) {
  const PencilPage drawn = draw_pencil_page(some_strokes(), small_sheet());
  RulingOptions options;
  options.step_mm = 8.0;
  options.down = false;
  options.margin_line_mm = 20.0;
  const Ruling found = ruling_of(print_ruling(drawn.grey, kPxPerMm, options));
  EXPECT_GE(found.across.lines.size(), 17U);
  ASSERT_EQ(found.down.lines.size(), 1U);
  EXPECT_NEAR(found.down.at(found.down.lines[0], 70 * kPxPerMm) / kPxPerMm, 20.0, 0.05);
}

TEST(FindRuling, FindsMillimetrePaper) {
  const PencilPage drawn = draw_pencil_page(some_strokes(), small_sheet());
  RulingOptions options;
  options.step_mm = 1.0;
  options.width_mm = 0.12;
  const Ruling found = ruling_of(print_ruling(drawn.grey, kPxPerMm, options));
  EXPECT_NEAR(static_cast<double>(found.across.lines.size()), 148.0, 3.0);
  EXPECT_NEAR(static_cast<double>(found.down.lines.size()), 105.0, 3.0);
}

TEST(FindRuling, FindsNoneOnBlankPaperNorUnderADrawing) {
  EXPECT_TRUE(ruling_of_drawing({}, small_sheet()).empty());
  EXPECT_TRUE(ruling_of_drawing(some_strokes(), small_sheet()).empty());
}

// Lines drawn with a ruler, without the least wobble.
TEST(FindRuling, TakesNoDrawingForRuling) {
  const auto line = [](Linework& lines, Vec2 a, Vec2 b) {
    lines.strokes.push_back({Path::polyline({a, b}), 0.3});
  };
  Linework ladder;
  for (const double x : {38.0, 66.0}) line(ladder, {x, 4}, {x, 144});
  for (double y = 8; y < 142; y += 5) line(ladder, {38, y}, {66, y});
  Linework frame;
  for (const double in : {5.0, 8.0, 11.0}) {
    line(frame, {in, in}, {105 - in, in});
    line(frame, {in, 148 - in}, {105 - in, 148 - in});
    line(frame, {in, in}, {in, 148 - in});
    line(frame, {105 - in, in}, {105 - in, 148 - in});
  }
  Linework net;
  for (double x = 14; x < 92; x += 7) line(net, {x, 20}, {x, 118});
  for (double y = 20; y < 119; y += 7) line(net, {14, y}, {91, y});
  Linework hatching;
  for (double y = 25; y < 120; y += 1.2) line(hatching, {20, y}, {80, y + 3});
  const std::vector<std::pair<const char*, Linework>> drawings = {
      {"ladder", ladder}, {"frame", frame}, {"net", net}, {"hatching", hatching}};
  for (const auto& [what, lines] : drawings) {
    for (const PencilOptions& options : {PencilOptions::clean(), PencilOptions{}}) {
      PencilOptions sheet = options;
      sheet.page_width_mm = 105;
      sheet.page_height_mm = 148;
      sheet.folds = 0;
      EXPECT_TRUE(ruling_of_drawing(lines, sheet).empty()) << what;
    }
  }
}

}  // namespace
}  // namespace underdraw
