// Source: own construction, no outside source; pixels are looked at where lines were asked for.
#include "io/draw_overlay.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/page_files.h"
#include "io/read_photo.h"

namespace underdraw {
namespace {

using namespace testing_pages;

cv::Mat overlay(const std::vector<PhotoLine>& lines, const OverlayOptions& options) {
  const TempFolder folder;
  const std::string png =
      png_of_overlay(cv::Mat(300, 400, CV_8UC3, cv::Scalar(40, 80, 160)), lines, options);
  write_bytes(folder.file("a.png"), Bytes(png.begin(), png.end()));
  return read_photo(folder.file("a.png")).bgr;
}

// How much bluer than the terracotta photo the pixels are between x = from and to on row y.
int blue_pixels(const cv::Mat& picture, int from, int to, int y) {
  int count = 0;
  for (int x = from; x < to; ++x) {
    const cv::Vec3b c = picture.at<cv::Vec3b>(y, x);
    if (c[0] > c[2] + 60) ++count;
  }
  return count;
}

const std::vector<PhotoLine> kLines = {{1, true, {{50, 100}, {350, 100}}},
                                       {2, false, {{50, 200}, {350, 200}}}};

TEST(DrawOverlay, DrawsCoveredLinesAlone) {
  const cv::Mat picture = overlay(kLines, {});
  EXPECT_GT(blue_pixels(picture, 60, 340, 100), 270);
  EXPECT_EQ(blue_pixels(picture, 60, 340, 200), 0);
  EXPECT_EQ(picture.at<cv::Vec3b>(250, 200), cv::Vec3b(40, 80, 160));
}

TEST(DrawOverlay, DashesLinesStillSeenWhenAsked) {
  const cv::Mat picture = overlay(kLines, {.title = "a.jpg", .seen_too = true});
  EXPECT_GT(blue_pixels(picture, 60, 340, 100), 270);
  EXPECT_GT(blue_pixels(picture, 60, 340, 200), 60);
  EXPECT_LT(blue_pixels(picture, 60, 340, 200), 240);
}

TEST(DrawOverlay, ShrinksWithItsLines) {
  const cv::Mat picture = overlay(kLines, {.longest_px = 200});
  EXPECT_EQ(picture.cols, 200);
  EXPECT_GT(blue_pixels(picture, 30, 170, 50), 120);
  EXPECT_THROW(overlay(kLines, {.longest_px = 100}), OptionError);
}

}  // namespace
}  // namespace underdraw
