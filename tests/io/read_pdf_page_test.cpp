#include "io/read_pdf_page.h"

#include <gtest/gtest.h>

#include "io/page_files.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

using namespace testing_pages;
using testing::IsSubstring;

// 124 x 175 px on a page of 74.4 x 105 pt: 120 dpi both ways.
constexpr const char* kScanBox = "[0 0 74.4 105]";
constexpr const char* kScanContents = "q 74.4 0 0 105 0 0 cm /Scan Do Q";

class ReadPdf : public testing::Test {
 protected:
  Page read_one(const PdfPage& page, const ReadOptions& options = {}) {
    write_pdf(path_, {page});
    return PageFile::open(path_, options).read(1);
  }
  TempFolder folder_;
  std::string path_ = folder_.file("page.pdf");
  cv::Mat grey_ = grey_sketch(124, 175);
  cv::Mat colour_ = colour_sketch(124, 175);
};

TEST_F(ReadPdf, GivesAnEmbeddedJpegsOwnPixels) {
  for (const cv::Mat& image : {grey_, colour_}) {
    const Page page =
        read_one({.media_box = kScanBox, .contents = kScanContents, .image = pdf_jpeg(image)});
    const std::string jpeg = folder_.file("same.jpg");
    write_bytes(jpeg, jpeg_bytes(image));
    EXPECT_EQ(largest_difference(page.grey, PageFile::open(jpeg).read(1).grey), 0);
    EXPECT_NEAR(page.px_per_mm_x, 120.0 / 25.4, 1e-9);
    EXPECT_NEAR(page.px_per_mm_y, 120.0 / 25.4, 1e-9);
  }
}

TEST_F(ReadPdf, AgreesWithThePngOfTheSamePage) {
  const Page page =
      read_one({.media_box = kScanBox, .contents = kScanContents, .image = pdf_flate(grey_)});
  const std::string png = folder_.file("same.png");
  write_png(png, grey_, {.px_per_metre = 4724});  // 120 dpi
  const Page same = PageFile::open(png).read(1);
  EXPECT_EQ(largest_difference(page.grey, same.grey), 0);
  EXPECT_NEAR(page.px_per_mm_x, same.px_per_mm_x, 1e-3);

  const Page colour =
      read_one({.media_box = kScanBox, .contents = kScanContents, .image = pdf_flate(colour_)});
  EXPECT_LE(largest_difference(colour.grey, expected_grey(colour_)), 2);
}

TEST_F(ReadPdf, FindsTheScanUnderInvisibleTextAndClips) {
  const Page page = read_one({.media_box = "[10 20 84.4 125]",
                              .contents = "q 10 20 74.4 105 re W n q 2 0 0 2 10 20 cm 37.2 0 0 "
                                          "52.5 0 0 cm /Scan Do Q Q BT 3 Tr /F 9 Tf (kelp) Tj ET",
                              .image = pdf_flate(grey_)});
  EXPECT_EQ(largest_difference(page.grey, grey_), 0);
}

TEST_F(ReadPdf, TurnsAScanByRotate) {
  const Page page = read_one({.media_box = kScanBox,
                              .extra = "/Rotate 90",
                              .contents = kScanContents,
                              .image = pdf_flate(grey_)});
  cv::Mat turned;
  cv::rotate(grey_, turned, cv::ROTATE_90_CLOCKWISE);
  EXPECT_EQ(largest_difference(page.grey, turned), 0);
}

TEST_F(ReadPdf, RendersWhatIsMoreThanAScan) {
  // A visible line over the scan, and a scan that fills only a part: the page's 600 dpi.
  for (const std::string& contents :
       {std::string(kScanContents) + " 0 0 m 50 50 l S",
        std::string("q 60 0 0 80 7 12 cm /Scan Do Q"),
        std::string(kScanContents) + " BT /F 9 Tf 10 10 Td (kelp) Tj ET"}) {
    const Page page =
        read_one({.media_box = kScanBox, .contents = contents, .image = pdf_flate(grey_)});
    EXPECT_EQ(page.grey.cols, 620) << contents;
    EXPECT_EQ(page.grey.rows, 875) << contents;
    EXPECT_NEAR(page.px_per_mm_x, 600.0 / 25.4, 1e-9);
  }
}

// Weighted by darkness; px, corner (0, 0).
cv::Point2d centre_of_ink(const cv::Mat& grey) {
  double sum = 0.0;
  cv::Point2d moment;
  for (int y = 0; y < grey.rows; ++y) {
    for (int x = 0; x < grey.cols; ++x) {
      const double ink = 255.0 - grey.at<std::uint8_t>(y, x);
      sum += ink;
      moment += ink * cv::Point2d(x + 0.5, y + 0.5);
    }
  }
  return moment * (1.0 / sum);
}

TEST_F(ReadPdf, RendersVectorLinesWhereTheyAreInMillimetres) {
  // A4 in points by ISO 216: 210 x 297 mm. A line of 1 mm at 50 mm from the left, 70 to 90 mm
  // from the top, in mm through the matrix.
  const Page page = read_one({.media_box = "[0 0 595.275591 841.889764]",
                              .contents = "2.834645669 0 0 -2.834645669 0 841.889764 cm 1 w 50 70 "
                                          "m 50 90 l S"});
  EXPECT_NEAR(page.width_mm(), 210.0, 0.03);
  EXPECT_NEAR(page.height_mm(), 297.0, 0.03);
  EXPECT_EQ(page.grey.at<std::uint8_t>(10, 10), 255);
  const cv::Point2d centre = centre_of_ink(page.grey);
  EXPECT_NEAR(centre.x / page.px_per_mm_x, 50.0, 0.01);
  EXPECT_NEAR(centre.y / page.px_per_mm_y, 80.0, 0.01);
}

TEST_F(ReadPdf, RendersTheCropBoxTurnedAndInItsUnit) {
  const PdfPage page{.media_box = "[0 0 200 200]",
                     .extra = "/CropBox [50 50 110 90] /Rotate 90 /UserUnit 2",
                     .contents = "50 85 10 5 re f"};  // at the top left before it is turned
  const Page read = read_one(page, {.dpi = 72.0});
  ASSERT_EQ(read.grey.cols, 80);  // 40 units of 2 points
  ASSERT_EQ(read.grey.rows, 120);
  EXPECT_NEAR(read.width_mm(), 80 / 72.0 * 25.4, 1e-9);
  const cv::Point2d centre = centre_of_ink(read.grey);
  EXPECT_NEAR(centre.x, 75.0, 0.6);  // at the top right after it
  EXPECT_NEAR(centre.y, 10.0, 0.6);
}

TEST_F(ReadPdf, RendersAtTheGivenDpiAndKeepsTheSize) {
  const Page page =
      read_one({.media_box = kScanBox, .contents = kScanContents, .image = pdf_flate(grey_)},
               {.dpi = 240.0});
  EXPECT_EQ(page.grey.cols, 248);
  EXPECT_NEAR(page.width_mm(), 74.4 / 72.0 * 25.4, 0.06);
}

TEST_F(ReadPdf, ReadsAnyPage) {
  write_pdf(path_,
            {{.media_box = "[0 0 72 72]"},
             {.media_box = kScanBox, .contents = kScanContents, .image = pdf_flate(grey_)}});
  const PageFile file = PageFile::open(path_);
  ASSERT_EQ(file.page_count(), 2);
  EXPECT_EQ(file.size(1).width_px, 600);
  EXPECT_EQ(largest_difference(file.read(2).grey, grey_), 0);
  EXPECT_PRED_FORMAT2(IsSubstring, "has 2 pages (asked for page 3)", refusal_of(path_, {}, 3));
}

TEST_F(ReadPdf, RefusesAPasswordAndReadsWhatOpensWithoutOne) {
  const PdfPage page{.media_box = kScanBox, .contents = kScanContents, .image = pdf_flate(grey_)};
  write_pdf(path_, {page}, {.user_password = "gull", .owner_password = "tern"});
  EXPECT_PRED_FORMAT2(IsSubstring, "is protected by a password", refusal_of(path_));
  write_pdf(path_, {page}, {.owner_password = "tern"});
  EXPECT_EQ(largest_difference(PageFile::open(path_).read(1).grey, grey_), 0);
  write_pdf(path_, {{.media_box = "[0 0 72 72]"}}, {.owner_password = "tern"});
  EXPECT_EQ(refusal_of(path_), "");
}

TEST_F(ReadPdf, RefusesPagesOfNoUsableSize) {
  write_pdf(path_, {});
  EXPECT_PRED_FORMAT2(IsSubstring, "has no pages", refusal_of(path_));
  write_pdf(path_, {{.media_box = "[0 0 0 100]"}});
  EXPECT_PRED_FORMAT2(IsSubstring, "has 0 x 833 pixels", refusal_of(path_));
  write_pdf(path_, {{.media_box = "[0 0 4000 4000]"}});  // 1411 mm
  EXPECT_PRED_FORMAT2(IsSubstring, "is 1411 x 1411 mm", refusal_of(path_, {.dpi = 100.0}));
  write_pdf(path_, {{.media_box = "[0 0 900000000000 900000000000]"}});
  EXPECT_PRED_FORMAT2(IsSubstring, "sides below 60000 pixels", refusal_of(path_));
  write_pdf(path_, {{.media_box = "[0 0 (a) 100]"}});
  EXPECT_NE(refusal_of(path_), "");
}

TEST_F(ReadPdf, RefusesScansThatLackAPart) {
  PdfImage half = pdf_jpeg(grey_);
  half.data.resize(half.data.size() / 2);
  write_pdf(path_, {{.media_box = kScanBox, .contents = kScanContents, .image = half}});
  EXPECT_PRED_FORMAT2(IsSubstring, "is damaged or cut short", refusal_of(path_));
  half = pdf_flate(grey_);
  half.data.resize(half.data.size() / 2);
  write_pdf(path_, {{.media_box = kScanBox, .contents = kScanContents, .image = half}});
  EXPECT_PRED_FORMAT2(IsSubstring, "is damaged or cut short", refusal_of(path_));
}

}  // namespace
}  // namespace underdraw
