#include "io/read_sketch_page.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/page_files.h"
#include "io/trace_files.h"
#include "io/write_drawing.h"
#include "photo/drawing_sheet.h"

namespace underdraw {
namespace {

using namespace testing_pages;

constexpr double kDpi = 150.0;

// A scan of sheet 9 with a ring in frame 2 and a cross in frame 5, in a file that says nothing of
// its resolution.
class SketchPageTest : public ::testing::Test {
 protected:
  SketchPageTest() : file_(folder_.file("sheet.png")) {
    kind_.page = 9;
    const std::string drawn = folder_.file("drawn.png");
    const std::string png = png_of_drawing(draw_blank_sheets({.first = kind_}).front(), kDpi);
    write_bytes(drawn, Bytes(png.begin(), png.end()));
    page_ = PageFile::open(drawn).read(1).grey;
    const DrawingSheet sheet = drawing_sheet(kind_);
    const Vec2 ring = sheet.frames[1].centre() * (kDpi / 25.4);
    const Vec2 cross = sheet.frames[4].centre() * (kDpi / 25.4);
    cv::circle(page_, cv::Point2d(ring.x, ring.y), 118, cv::Scalar(60), 3, cv::LINE_AA);
    for (const int way : {-1, 1}) {
      cv::line(page_,
               cv::Point2d(cross.x - 90, cross.y - 90 * way),
               cv::Point2d(cross.x + 90, cross.y + 90 * way),
               cv::Scalar(60),
               3,
               cv::LINE_AA);
    }
    write_png(file_, page_, {.px_per_metre = {}});
  }

  TempFolder folder_;
  SheetKind kind_;
  std::string file_;
  cv::Mat page_;
};

TEST_F(SketchPageTest, OfADrawingSheetNeedsNoResolution) {
  EXPECT_THROW(PageFile::open(file_).read(1), InputError);
  const SketchPage read = read_sketch_page(PageFile::open(file_), 1);
  ASSERT_TRUE(read.sheet);
  EXPECT_EQ(read.sheet->kind, kind_);
  EXPECT_NEAR(read.page.width_mm(), 210.0, 0.1);
  EXPECT_NEAR(read.page.height_mm(), 297.0, 0.1);
  EXPECT_NO_THROW(require_resolution(PageFile::open(file_), 1));
}

TEST_F(SketchPageTest, IsTracedByFrameToSizeWithEmptyFramesLeftOut) {
  const std::vector<TracedFilePage> pages = trace_files({{file_, {}, {}}});
  ASSERT_EQ(pages.size(), 1U);
  ASSERT_TRUE(pages[0].sheet);
  EXPECT_EQ(pages[0].sheet->page, 9);
  EXPECT_EQ(pages[0].sheet->count, 6U);
  EXPECT_EQ(pages[0].sheet->frame_of_sketch, (std::vector<int>{2, 5}));
  ASSERT_EQ(pages[0].traced.sketches.size(), 2U);
  ASSERT_EQ(pages[0].traced.sketches[0].lines.strokes.size(), 1U);
  EXPECT_NEAR(
      pages[0].traced.sketches[0].lines.strokes[0].path.box().width(), 236.0 / kDpi * 25.4, 0.08);
  EXPECT_EQ(names_by_position(pages[0]),
            (std::vector<std::string>{"page-9-frame-2", "page-9-frame-5"}));
  // A name for every frame, or one for every sketch.
  const std::vector<std::string> six{"thistle", "kelp", "scallop", "sea-pink", "feather", "knot"};
  EXPECT_EQ(names_in_frames(pages[0], six), (std::vector<std::string>{"kelp", "feather"}));
  EXPECT_EQ(motifs_of_page(pages[0], six, "").at(1).name, "feather");
  EXPECT_EQ(motifs_of_page(pages[0], {"kelp", "knot"}, "").at(1).name, "knot");
  try {
    motifs_of_page(pages[0], {"kelp", "knot", "feather"}, "correct the names");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(std::string(error.what()),
              file_ +
                  ": 2 sketches found, in frames 2, 5 of 6 (expected 3: kelp, knot, feather); "
                  "correct the names");
  }
  EXPECT_NO_THROW(require_own_sheets(pages));
  EXPECT_THROW(require_own_sheets({pages[0], pages[0]}), InputError);
}

TEST_F(SketchPageTest, OfAnotherKindIsReadAsBefore) {
  const std::string other = folder_.file("other.png");
  cv::Mat page(600, 800, CV_8UC1, cv::Scalar(240));
  cv::circle(page, {400, 300}, 100, cv::Scalar(50), 4, cv::LINE_AA);
  write_png(other, page, {.px_per_metre = {}});
  EXPECT_THROW(read_sketch_page(PageFile::open(other), 1), InputError);
  EXPECT_THROW(require_resolution(PageFile::open(other), 1), InputError);
  const SketchPage read = read_sketch_page(PageFile::open(other, {.dpi = 300.0}), 1);
  EXPECT_FALSE(read.sheet);
  EXPECT_EQ(largest_difference(read.page.grey, page), 0);
  EXPECT_NEAR(read.page.dpi(), 300.0, 1e-9);
  // A bad page is found before the good one is traced.
  EXPECT_THROW(trace_files({{file_, {}, {}}, {other, {}, {}}}), InputError);
}

}  // namespace
}  // namespace underdraw
