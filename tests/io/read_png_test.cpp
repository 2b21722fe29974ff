#include "io/read_png.h"

#include <gtest/gtest.h>

#include "io/page_files.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

using namespace testing_pages;
using testing::IsSubstring;

cv::Mat with_alpha(const cv::Mat& image) {
  std::vector<cv::Mat> channels;
  cv::split(image, channels);
  cv::Mat alpha(image.size(), image.depth());
  const int full = image.depth() == CV_16U ? 65535 : 255;
  for (int x = 0; x < image.cols; ++x) alpha.col(x).setTo(x * full / (image.cols - 1));
  channels.push_back(alpha);
  cv::Mat both;
  cv::merge(channels, both);
  return both;
}

cv::Mat in_16_bits(const cv::Mat& image) {
  cv::Mat wide;
  image.convertTo(wide, CV_MAKETYPE(CV_16U, image.channels()), 257.0, -40.0);
  return wide;
}

struct Form {
  const char* name;
  cv::Mat image;
};

class ReadPng : public testing::TestWithParam<bool> {
 protected:
  TempFolder folder_;
};

TEST_P(ReadPng, TurnsEveryColourFormIntoLumaOnWhite) {
  const cv::Mat grey = grey_sketch(61, 43);
  const cv::Mat colour = colour_sketch(61, 43);
  const std::vector<Form> forms{{"grey", grey},
                                {"grey-alpha", with_alpha(grey)},
                                {"rgb", colour},
                                {"rgba", with_alpha(colour)},
                                {"grey-16", in_16_bits(grey)},
                                {"grey-alpha-16", with_alpha(in_16_bits(grey))},
                                {"rgb-16", in_16_bits(colour)},
                                {"rgba-16", with_alpha(in_16_bits(colour))}};
  for (const Form& form : forms) {
    const std::string path = folder_.file(std::string(form.name) + ".png");
    write_png(path, form.image, {.interlaced = GetParam()});
    const Page page = PageFile::open(path).read(1);
    EXPECT_LE(largest_difference(page.grey, expected_grey(form.image)), 1) << form.name;
    EXPECT_NEAR(page.px_per_mm_x, 11.811, 1e-9) << form.name;
  }
}

TEST_P(ReadPng, KeepsEightBitGreyExactly) {
  const cv::Mat grey = grey_sketch(40, 30);
  write_png(folder_.file("a.png"), grey, {.interlaced = GetParam()});
  EXPECT_EQ(largest_difference(PageFile::open(folder_.file("a.png")).read(1).grey, grey), 0);
}

TEST_P(ReadPng, ReadsPackedGreyAndPalettes) {
  const cv::Mat grey = grey_sketch(37, 29);
  for (const int bits : {1, 2, 4}) {
    write_png(folder_.file("a.png"), grey, {.interlaced = GetParam(), .bits = bits});
    const int steps = (1 << bits) - 1;
    const cv::Mat expected = [&] {
      cv::Mat out = grey.clone();
      for (auto it = out.begin<std::uint8_t>(); it != out.end<std::uint8_t>(); ++it) {
        *it = static_cast<std::uint8_t>((*it >> (8 - bits)) * 255 / steps);
      }
      return out;
    }();
    EXPECT_EQ(largest_difference(PageFile::open(folder_.file("a.png")).read(1).grey, expected), 0)
        << bits;
  }

  const std::vector<cv::Vec3b> palette{{255, 255, 255}, {200, 30, 10}, {10, 40, 220}, {0, 0, 0}};
  cv::Mat indices(29, 37, CV_8UC1);
  cv::Mat colours(29, 37, CV_8UC3);
  for (int y = 0; y < 29; ++y) {
    for (int x = 0; x < 37; ++x) {
      indices.at<std::uint8_t>(y, x) = static_cast<std::uint8_t>((x / 5 + y / 3) % 4);
      colours.at<cv::Vec3b>(y, x) = palette[indices.at<std::uint8_t>(y, x)];
    }
  }
  for (const int bits : {2, 8}) {
    write_png(folder_.file("p.png"),
              indices,
              {.interlaced = GetParam(), .bits = bits, .palette = palette});
    EXPECT_LE(largest_difference(PageFile::open(folder_.file("p.png")).read(1).grey,
                                 expected_grey(colours)),
              1)
        << bits;
  }
}

INSTANTIATE_TEST_SUITE_P(Interlaced, ReadPng, testing::Bool());

TEST(ReadPngResolution, ComesFromPhysElseFromExif) {
  const TempFolder folder;
  const std::string path = folder.file("a.png");
  const cv::Mat grey = grey_sketch(40, 30);
  write_png(path, grey, {.px_per_metre = {}, .exif = exif_block(1, 600.0)});
  EXPECT_NEAR(PageFile::open(path).size(1).px_per_mm_x, 600.0 / 25.4, 1e-9);
  write_png(path, grey, {.px_per_metre = 11811, .exif = exif_block(1, 600.0)});
  EXPECT_NEAR(PageFile::open(path).size(1).px_per_mm_x, 11.811, 1e-9);
  write_png(path, grey, {.px_per_metre = 11811, .unit_known = false});
  EXPECT_PRED_FORMAT2(IsSubstring, "states no resolution", refusal_of(path));
}

TEST(ReadPngResolution, MayDifferAcrossAndDown) {
  const TempFolder folder;
  const std::string path = folder.file("a.png");
  write_png(path, grey_sketch(40, 30), {.px_per_metre = 8000, .px_per_metre_y = 4000});
  const Page page = PageFile::open(path).read(1);
  EXPECT_DOUBLE_EQ(page.px_per_mm_x, 8.0);
  EXPECT_DOUBLE_EQ(page.px_per_mm_y, 4.0);
  write_png(path, grey_sketch(40, 30), {.px_per_metre = 8400, .px_per_metre_y = 4000});
  EXPECT_PRED_FORMAT2(IsSubstring, "213.4 dpi across and 101.6 dpi down", refusal_of(path));
}

// Found by fuzzing: 157 bytes whose text says that it is 1.6 GB long.
TEST(ReadPngChunks, TakesNoMemoryForWhatAChunkOnlyClaims) {
  const std::string path =
      std::string(UNDERDRAW_SOURCE_DIR) + "/tests/fuzz/found/png/text-of-1600-megabytes.png";
  EXPECT_PRED_FORMAT2(IsSubstring, "too large", refusal_of(path));
}

TEST(ReadPngOrientation, FollowsExif) {
  const TempFolder folder;
  const cv::Mat grey = grey_sketch(40, 30);
  write_png(folder.file("a.png"), grey, {.exif = exif_block(6, 0.0)});
  cv::Mat turned;
  cv::rotate(grey, turned, cv::ROTATE_90_CLOCKWISE);
  EXPECT_EQ(largest_difference(PageFile::open(folder.file("a.png")).read(1).grey, turned), 0);
}

}  // namespace
}  // namespace underdraw
