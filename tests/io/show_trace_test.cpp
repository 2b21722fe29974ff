#include "io/show_trace.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "io/page_files.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

using namespace testing_pages;

Page blank_page(double width_mm, double height_mm, double px_per_mm) {
  const cv::Size size(static_cast<int>(width_mm * px_per_mm),
                      static_cast<int>(height_mm * px_per_mm));
  Page page;
  page.grey = cv::Mat(size, CV_8UC1, cv::Scalar(250));
  page.px_per_mm_x = page.px_per_mm_y = px_per_mm;
  page.file = "page.png";
  return page;
}

TracedPage traced_page(const Page& page, const Linework& lines) {
  TracedPage traced;
  traced.width_mm = page.width_mm();
  traced.height_mm = page.height_mm();
  traced.sketches.push_back({lines.ink_box(), lines});
  return traced;
}

Linework cross_and_more() {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{10, 10}, {30, 30}}), 0.4, {0.2, 0.4, 0.6}});
  lines.strokes.push_back({Path::polyline({{30, 10}, {10, 30}}), 0.4, {}});
  lines.strokes.push_back({Path{{{40, 20}}, false}, 0.8, {}});
  lines.areas.push_back({{Path::polyline({{50, 12}, {58, 12}, {58, 28}, {50, 28}}, true)}});
  return lines;
}

// The picture as grey pixels.
cv::Mat grey_of(const std::string& png) {
  const TempFolder folder;
  const std::string path = folder.file("look.png");
  write_bytes(path, Bytes(png.begin(), png.end()));
  return PageFile::open(path, {.dpi = 300.0}).read(1).grey;
}

double darkness(const cv::Mat& grey, Vec2 mm, double px_per_mm, double reach_mm) {
  const int r = static_cast<int>(reach_mm * px_per_mm);
  const cv::Rect all({0, 0}, grey.size());
  const cv::Rect window(static_cast<int>(mm.x * px_per_mm) - r,
                        static_cast<int>(mm.y * px_per_mm) - r,
                        2 * r + 1,
                        2 * r + 1);
  return 255.0 - cv::mean(grey(window & all))[0];
}

TEST(ShowTrace, SaysWhatWasFound) {
  const Page page = blank_page(70, 40, 12);
  EXPECT_EQ(trace_summary(traced_page(page, cross_and_more())),
            "1 sketch, 2 lines of 6 cm, pen 0.40 mm wide, 1 meeting, 4 loose ends, 1 dot, "
            "1 solid area");
}

TEST(ShowTrace, DrawsEachThingWhereItLies) {
  const Page page = blank_page(70, 40, 12);
  const cv::Mat with = grey_of(png_of_trace(page, traced_page(page, cross_and_more())));
  // The picture is as wide as the page: 12 px a mm.
  ASSERT_EQ(with.cols, 840);
  EXPECT_GT(with.rows, 480);
  const auto dark = [&](Vec2 mm, double reach) { return darkness(with, mm, 12.0, reach); };
  const double bare = dark({36, 35}, 0.5);
  EXPECT_LT(bare, 15.0);
  EXPECT_GT(dark({15, 15}, 0.2), bare + 60.0);                 // on a line
  EXPECT_GT(dark({20, 20}, 0.5), dark({15, 15}, 0.5) + 15.0);  // the ring round the crossing
  EXPECT_GT(dark({10, 30}, 0.4),
            0.5 * (dark({13, 27}, 0.4) + bare) + 10.0);  // the square at an end
  EXPECT_GT(dark({40, 20}, 0.8), bare + 20.0);           // the diamond
  EXPECT_GT(dark({54, 20}, 1.5), bare + 40.0);           // the hatching
  EXPECT_LT(dark({45, 30}, 1.0), bare + 6.0);            // nothing
}

TEST(ShowTrace, TheBandIsAsWideAsThePenAllAlong) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{5, 20}, {65, 20}}), 1.0, {0.4, 1.6}});
  const Page page = blank_page(70, 40, 12);
  const cv::Mat picture = grey_of(png_of_trace(page, traced_page(page, lines)));
  const auto width_mm = [&](double x) {
    // Between the upper and the lower side of the sketch's frame.
    const cv::Mat column = picture.col(static_cast<int>(x * 12.0)).rowRange(226, 255);
    return cv::countNonZero(column < 225) / 12.0;
  };
  EXPECT_NEAR(width_mm(20), 0.7, 0.15);
  EXPECT_NEAR(width_mm(35), 1.0, 0.15);
  EXPECT_NEAR(width_mm(50), 1.3, 0.15);
}

TEST(ShowTrace, TheScanStaysVisibleAndPale) {
  Page page = blank_page(70, 40, 24);
  cv::rectangle(page.grey, {240, 240}, {480, 480}, cv::Scalar(60), cv::FILLED);  // not traced
  const cv::Mat picture = grey_of(png_of_trace(page, traced_page(page, cross_and_more())));
  const double shown = darkness(picture, {16, 11.5}, 12.0, 0.5);
  EXPECT_GT(shown, 60.0);
  EXPECT_LT(shown, 140.0);
}

TEST(ShowTrace, ANameBelongsToItsSketchAndAnyBytesMayBeInIt) {
  const Page page = blank_page(70, 40, 12);
  const TracedPage traced = traced_page(page, cross_and_more());
  const std::string numbered = png_of_trace(page, traced);
  EXPECT_NE(png_of_trace(page, traced, {.names = {"kelp"}}), numbered);
  EXPECT_NE(png_of_trace(page, traced, {.names = {"\xff<&\n"}, .title = "\xfe.png"}), numbered);
  EXPECT_EQ(png_of_trace(page, traced), numbered);  // the same bytes every time
}

TEST(ShowTrace, PicturesOfLargeAndOfOddPagesStayWithin4000Pixels) {
  for (const cv::Size2d mm : {cv::Size2d(297, 420), {1000, 30}, {20, 20}}) {
    const Page page = blank_page(mm.width, mm.height, 4);
    const cv::Mat picture = grey_of(png_of_trace(page, traced_page(page, cross_and_more())));
    EXPECT_LE(std::max(picture.cols, picture.rows), 4000) << mm;
    EXPECT_GE(std::max(picture.cols, picture.rows), 300) << mm;
  }
}

}  // namespace
}  // namespace underdraw
