#include "io/read_jpeg.h"

#include <gtest/gtest.h>

#include "io/page_files.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

using namespace testing_pages;
using testing::IsSubstring;

class ReadJpeg : public testing::Test {
 protected:
  std::string written(const cv::Mat& image, const JpegLook& look = {}) {
    const std::string path = folder_.file("page.jpg");
    write_bytes(path, jpeg_bytes(image, look));
    return path;
  }
  TempFolder folder_;
};

// The largest difference that quality 100 leaves in these images, checked to be far below what a
// wrong colour formula would give (more than 40).
constexpr int kJpegNoise = 4;

TEST_F(ReadJpeg, ReadsGreyAndColourBaselineAndProgressive) {
  for (const bool progressive : {false, true}) {
    const cv::Mat grey = grey_sketch(61, 43);
    const cv::Mat colour = colour_sketch(61, 43);
    const JpegLook look{.progressive = progressive};
    const Page page = PageFile::open(written(grey, look)).read(1);
    EXPECT_LE(largest_difference(page.grey, grey), kJpegNoise);
    EXPECT_NEAR(page.px_per_mm_y, 300.0 / 25.4, 1e-9);
    EXPECT_LE(largest_difference(PageFile::open(written(colour, look)).read(1).grey,
                                 expected_grey(colour)),
              kJpegNoise);
  }
}

TEST_F(ReadJpeg, ReadsInvertedCmykAndYcck) {
  // Ink-free paper with a black-ink hook and a cyan patch, stored as Adobe does: 255 is no ink.
  cv::Mat stored(48, 64, CV_8UC4, cv::Scalar(255, 255, 255, 255));
  stored(cv::Rect(8, 8, 24, 16)).setTo(cv::Scalar(255, 255, 255, 30));
  stored(cv::Rect(40, 24, 16, 16)).setTo(cv::Scalar(0, 255, 255, 255));
  for (const bool ycck : {false, true}) {
    const Page page =
        PageFile::open(written(stored, {.cmyk = true, .ycck = ycck}), {.dpi = 300.0}).read(1);
    EXPECT_NEAR(page.grey.at<std::uint8_t>(2, 2), 255, 2) << ycck;
    EXPECT_NEAR(page.grey.at<std::uint8_t>(16, 16), 30, 3) << ycck;
    EXPECT_NEAR(page.grey.at<std::uint8_t>(32, 48), 0.701 * 255, 3) << ycck;  // cyan: no red
  }
}

TEST_F(ReadJpeg, AppliesEachExifOrientation) {
  const cv::Mat grey = grey_sketch(64, 40);
  // Where the stored first row and column are when seen upright (CIPA DC-008, tag Orientation):
  // given by the upright position of the stored pixel (x, y).
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const Page page = PageFile::open(written(grey, {.exif = exif_block(orientation, 0.0)})).read(1);
    const bool sideways = orientation > 4;
    ASSERT_EQ(page.grey.cols, sideways ? 40 : 64);
    int worst = 0;
    for (int y = 0; y < grey.rows; ++y) {
      for (int x = 0; x < grey.cols; ++x) {
        const bool row_from_bottom = orientation == 3 || orientation == 4;
        const bool column_from_right = orientation == 2 || orientation == 3;
        int u = column_from_right ? 63 - x : x;
        int v = row_from_bottom ? 39 - y : y;
        if (sideways) {  // row 0 is the left (5, 8) or right (6, 7) side
          u = orientation == 5 || orientation == 8 ? y : 39 - y;
          v = orientation == 5 || orientation == 6 ? x : 63 - x;
        }
        worst = std::max(worst,
                         std::abs(page.grey.at<std::uint8_t>(v, u) - grey.at<std::uint8_t>(y, x)));
      }
    }
    EXPECT_LE(worst, kJpegNoise) << orientation;
  }
}

TEST_F(ReadJpeg, SwapsTheResolutionWithTheSides) {
  Bytes bytes = jpeg_bytes(grey_sketch(64, 40), {.density = 200, .exif = exif_block(6, 0.0)});
  bytes[16] = 0;  // JFIF Y density, high and low byte
  bytes[17] = 100;
  const std::string path = folder_.file("fax.jpg");
  write_bytes(path, bytes);
  const Page page = PageFile::open(path).read(1);
  EXPECT_NEAR(page.px_per_mm_x, 100.0 / 25.4, 1e-9);
  EXPECT_NEAR(page.px_per_mm_y, 200.0 / 25.4, 1e-9);
  EXPECT_NEAR(page.width_mm(), 40 / 100.0 * 25.4, 1e-9);
}

TEST_F(ReadJpeg, TakesTheResolutionFromJfifElseFromExif) {
  const cv::Mat grey = grey_sketch(64, 40);
  const auto dpi = [this, &grey](const JpegLook& look) {
    return PageFile::open(written(grey, look)).size(1).px_per_mm_x * 25.4;
  };
  EXPECT_NEAR(dpi({.density = 118, .density_unit = 2}), 118 * 2.54, 1e-9);
  EXPECT_NEAR(dpi({.density = 300, .exif = exif_block(1, 200.0)}), 300.0, 1e-9);
  EXPECT_NEAR(dpi({.density = 72, .exif = exif_block(1, 200.0)}), 200.0, 1e-9);
  EXPECT_NEAR(dpi({.density = 1, .density_unit = 0, .exif = exif_block(1, 240.0)}), 240.0, 1e-9);
  EXPECT_NEAR(dpi({.jfif = false, .exif = exif_block(1, 240.0)}), 240.0, 1e-9);
}

TEST_F(ReadJpeg, DoesNotTakeAnAspectRatioOrACamerasFillerForAResolution) {
  const cv::Mat grey = grey_sketch(64, 40);
  EXPECT_PRED_FORMAT2(IsSubstring,
                      "states no resolution; pass --dpi 300",
                      refusal_of(written(grey, {.density = 1, .density_unit = 0})));
  EXPECT_PRED_FORMAT2(IsSubstring,
                      "72 dpi stands for unknown",
                      refusal_of(written(grey, {.jfif = false, .exif = exif_block(1, 72.0)})));
  EXPECT_PRED_FORMAT2(IsSubstring,
                      "72 dpi stands for unknown",
                      refusal_of(written(grey, {.density = 72, .exif = exif_block(1, 72.0)})));
}

}  // namespace
}  // namespace underdraw
