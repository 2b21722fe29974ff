#include "io/read_tiff.h"

#include <gtest/gtest.h>
#include <tiffio.h>

#include "io/page_files.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

using namespace testing_pages;
using testing::IsSubstring;

class ReadTiff : public testing::Test {
 protected:
  cv::Mat read_back(const cv::Mat& image, const TiffLook& look) {
    write_tiff(path_, {image}, look);
    const Page page = PageFile::open(path_).read(1);
    EXPECT_NEAR(page.px_per_mm_x, 300.0 / 25.4, 1e-5);
    return page.grey;
  }
  cv::Mat in_16_bits(const cv::Mat& image) {
    cv::Mat wide;
    image.convertTo(wide, CV_MAKETYPE(CV_16U, image.channels()), 257.0, -40.0);
    return wide;
  }
  TempFolder folder_;
  std::string path_ = folder_.file("page.tif");
  cv::Mat grey_ = grey_sketch(61, 43);
  cv::Mat colour_ = colour_sketch(61, 43);
};

TEST_F(ReadTiff, ReadsGreyOfEitherSense) {
  EXPECT_EQ(largest_difference(read_back(grey_, {}), grey_), 0);
  EXPECT_EQ(
      largest_difference(read_back(255 - grey_, {.photometric = PHOTOMETRIC_MINISWHITE}), grey_),
      0);
  EXPECT_LE(largest_difference(read_back(in_16_bits(grey_), {}), grey_), 1);
  cv::Mat inverted_16;
  cv::subtract(cv::Scalar::all(65535), in_16_bits(grey_), inverted_16);
  EXPECT_LE(
      largest_difference(read_back(inverted_16, {.photometric = PHOTOMETRIC_MINISWHITE}), grey_),
      1);
}

TEST_F(ReadTiff, ReadsOneBitFaxPages) {
  const cv::Mat ink = grey_ < 128;  // 255 is ink, as min-is-white stores it
  for (const int compression : {COMPRESSION_NONE, COMPRESSION_CCITTFAX4, COMPRESSION_PACKBITS}) {
    const cv::Mat page = read_back(
        ink, {.photometric = PHOTOMETRIC_MINISWHITE, .bits = 1, .compression = compression});
    EXPECT_EQ(largest_difference(page, 255 - ink), 0) << compression;
  }
}

TEST_F(ReadTiff, ReadsRgbInRowsTilesAndPlanes) {
  const cv::Mat expected = expected_grey(colour_);
  for (const int strip : {1, 7, 43}) {
    const TiffLook look{.photometric = PHOTOMETRIC_RGB, .rows_per_strip = strip};
    EXPECT_LE(largest_difference(read_back(colour_, look), expected), 1) << strip;
  }
  EXPECT_LE(largest_difference(read_back(in_16_bits(colour_), {.photometric = PHOTOMETRIC_RGB}),
                               expected),
            1);
  EXPECT_LE(largest_difference(read_back(colour_, {.photometric = PHOTOMETRIC_RGB, .tiled = true}),
                               expected),
            1);
  EXPECT_LE(largest_difference(
                read_back(colour_, {.photometric = PHOTOMETRIC_RGB, .separate = true}), expected),
            1);
}

TEST_F(ReadTiff, ReadsGreyTilesTheRightWayUp) {
  EXPECT_EQ(largest_difference(read_back(grey_, {.tiled = true}), grey_), 0);
  cv::Mat turned;
  cv::rotate(grey_, turned, cv::ROTATE_90_CLOCKWISE);
  EXPECT_EQ(largest_difference(read_back(grey_, {.orientation = 6, .tiled = true}), turned), 0);
  EXPECT_EQ(largest_difference(read_back(grey_, {.orientation = 6}), turned), 0);
}

TEST_F(ReadTiff, LaysAlphaOnWhite) {
  std::vector<cv::Mat> channels;
  cv::split(colour_, channels);
  cv::Mat alpha(grey_.size(), CV_8UC1);
  for (int x = 0; x < alpha.cols; ++x) alpha.col(x).setTo(x * 4);
  channels.push_back(alpha);
  cv::Mat rgba;
  cv::merge(channels, rgba);
  const cv::Mat page = read_back(rgba, {.photometric = PHOTOMETRIC_RGB, .alpha = true});
  EXPECT_LE(largest_difference(page, expected_grey(rgba)), 1);
}

TEST_F(ReadTiff, ReadsPalettes) {
  const std::vector<cv::Vec3b> palette{{255, 255, 255}, {200, 30, 10}, {10, 40, 220}, {0, 0, 0}};
  cv::Mat indices(29, 37, CV_8UC1);
  cv::Mat colours(29, 37, CV_8UC3);
  for (int y = 0; y < 29; ++y) {
    for (int x = 0; x < 37; ++x) {
      indices.at<std::uint8_t>(y, x) = static_cast<std::uint8_t>((x / 5 + y / 3) % 4);
      colours.at<cv::Vec3b>(y, x) = palette[indices.at<std::uint8_t>(y, x)];
    }
  }
  for (const int bits : {2, 4, 8}) {
    const cv::Mat page =
        read_back(indices, {.photometric = PHOTOMETRIC_PALETTE, .bits = bits, .palette = palette});
    EXPECT_LE(largest_difference(page, expected_grey(colours)), 1) << bits;
  }
}

TEST_F(ReadTiff, ReadsCmyk) {
  cv::Mat inks(48, 64, CV_8UC4, cv::Scalar(0, 0, 0, 0));  // 255 is full ink (TIFF 6.0, section 16)
  inks(cv::Rect(8, 8, 24, 16)).setTo(cv::Scalar(0, 0, 0, 225));
  inks(cv::Rect(40, 24, 16, 16)).setTo(cv::Scalar(255, 0, 0, 0));
  for (const bool tiled : {false, true}) {
    const cv::Mat page = read_back(inks, {.photometric = PHOTOMETRIC_SEPARATED, .tiled = tiled});
    EXPECT_EQ(page.at<std::uint8_t>(2, 2), 255);
    EXPECT_NEAR(page.at<std::uint8_t>(16, 16), 30, 1);
    EXPECT_NEAR(page.at<std::uint8_t>(32, 48), 0.701 * 255, 1);
  }
}

TEST_F(ReadTiff, ReadsEachPageOfSeveral) {
  const cv::Mat second = grey_sketch(20, 70);
  write_tiff(path_, {grey_, second}, {.dpi = 240.0, .in_cm = true});
  const PageFile file = PageFile::open(path_);
  ASSERT_EQ(file.page_count(), 2);
  EXPECT_EQ(largest_difference(file.read(1).grey, grey_), 0);
  const Page page = file.read(2);
  EXPECT_EQ(largest_difference(page.grey, second), 0);
  EXPECT_EQ(page.number, 2);
  EXPECT_NEAR(page.px_per_mm_y, 240.0 / 25.4, 1e-5);
  EXPECT_PRED_FORMAT2(IsSubstring, "has 2 pages (asked for page 7)", refusal_of(path_, {}, 7));
  EXPECT_PRED_FORMAT2(IsSubstring, "has 2 pages (asked for page 0)", refusal_of(path_, {}, 0));
}

TEST_F(ReadTiff, NeedsAUnitForItsResolution) {
  write_tiff(path_, {grey_}, {.no_unit = true});
  EXPECT_PRED_FORMAT2(IsSubstring, "states no resolution", refusal_of(path_));
  write_tiff(path_, {grey_, grey_}, {.dpi = 0.0});
  EXPECT_PRED_FORMAT2(IsSubstring, "page 2 states no resolution", refusal_of(path_, {}, 2));
}

}  // namespace
}  // namespace underdraw
