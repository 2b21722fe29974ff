#include "trace/detail.h"

#include <gtest/gtest.h>

#include "support/compare_lines.h"
#include "support/pencil_page.h"

namespace underdraw {
namespace {

// Three long lines of a hand that wobbles: slow waves of 0.2 mm under quick ones of 0.04 mm.
Linework wobbly_lines() {
  Linework lines;
  for (const double y : {10.0, 20.0, 30.0}) {
    std::vector<Vec2> course;
    for (double x = 8.0; x <= 72.0; x += 0.25) {
      course.push_back({x, y + 0.2 * std::sin(0.35 * x + y) + 0.04 * std::sin(3.7 * x + 3.0 * y)});
    }
    lines.strokes.push_back({Path::polyline(course), 0.4, {}});
  }
  return lines;
}

Page page_of(const Linework& lines) {
  test::PencilOptions options = test::PencilOptions::clean();
  options.page_width_mm = 80.0;
  options.page_height_mm = 40.0;
  const test::PencilPage drawn = test::draw_pencil_page(lines, options);
  Page page;
  page.grey = drawn.grey;
  page.px_per_mm_x = page.px_per_mm_y = drawn.px_per_mm;
  page.file = "wobbly.png";
  return page;
}

Linework traced_with(const Page& page, Detail detail) {
  Linework all;
  for (const TracedSketch& sketch : trace_page(page, with_detail({}, detail)).sketches) {
    all.append(sketch.lines);
  }
  return all;
}

TEST(Detail, SmoothTakesFewerPiecesAndFaithfulLiesCloser) {
  const Linework truth = wobbly_lines();
  const Page page = page_of(truth);
  const Linework smooth = traced_with(page, Detail::smooth);
  const Linework usual = traced_with(page, Detail::usual);
  const Linework faithful = traced_with(page, Detail::faithful);
  EXPECT_LT(4 * smooth.piece_count(), 3 * usual.piece_count());
  EXPECT_LT(3 * usual.piece_count(), 2 * faithful.piece_count());
  const auto rms = [&](const Linework& lines) {
    return test::compare_lines(lines, truth, 0.3).rms_mm;
  };
  EXPECT_LT(2.0 * rms(faithful), rms(usual));
  EXPECT_LE(rms(usual), rms(smooth));
  // What is left out is the quick wobble, 0.028 mm rms, and little more.
  EXPECT_LT(rms(smooth), 0.035);
  EXPECT_GT(test::compare_lines(smooth, truth, 0.2).recall, 0.99);
}

TEST(Detail, UsualIsWhatNeedsNoTouching) {
  EXPECT_EQ(with_detail({}, Detail::usual).tolerance_mm, TraceOptions{}.tolerance_mm);
  const TraceOptions apart = with_detail({.tolerance_mm = 0.5, .apart_mm = 7.0}, Detail::usual);
  EXPECT_EQ(apart.tolerance_mm, TraceOptions{}.tolerance_mm);
  EXPECT_EQ(apart.apart_mm, 7.0);
}

TEST(Detail, EveryWordNamesItsLevel) {
  EXPECT_EQ(detail_named("smooth"), Detail::smooth);
  EXPECT_EQ(detail_named("usual"), Detail::usual);
  EXPECT_EQ(detail_named("faithful"), Detail::faithful);
  EXPECT_FALSE(detail_named("Smooth"));
  EXPECT_EQ(detail_words().size(), 3U);
}

}  // namespace
}  // namespace underdraw
