#include "scan/paper_light.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "scan/ink_density.h"
#include "scan/shrink_page.h"

namespace underdraw {
namespace {

// Paper whose light falls off from left to right, 300 dpi, 80 mm square.
Page shaded_page() {
  Page page;
  page.px_per_mm_x = page.px_per_mm_y = 300.0 / 25.4;
  page.grey.create(945, 945, CV_8U);
  for (int y = 0; y < page.grey.rows; ++y) {
    for (int x = 0; x < page.grey.cols; ++x) {
      page.grey.at<uchar>(y, x) = static_cast<uchar>(240 - 70 * x / page.grey.cols);
    }
  }
  return page;
}

TEST(PaperLight, FollowsUnevenLightUnderAThickBar) {
  Page page = shaded_page();
  const cv::Rect bar(300, 450, 400, 70);  // 6 mm thick
  page.grey(bar).setTo(30);
  const PaperLight light = paper_light(page);
  for (const cv::Point p : {cv::Point(100, 100), cv::Point(500, 480), cv::Point(850, 850)}) {
    const float expected = 240.0F - 70.0F * static_cast<float>(p.x) / 945.0F;
    EXPECT_NEAR(light.light.at<float>(p.y / light.shrink, p.x / light.shrink), expected, 4.0F);
  }
}

TEST(InkDensity, IsZeroOnPaperAndTheShareOfLightThatInkTakes) {
  Page page = shaded_page();
  for (int y = 200; y < 206; ++y) {
    for (int x = 100; x < 800; ++x) {
      page.grey.at<uchar>(y, x) = static_cast<uchar>(page.grey.at<uchar>(y, x) * 0.4);
    }
  }
  const PaperLight light = paper_light(page);
  const cv::Mat density = ink_density(page, light, {50, 150, 800, 100});
  EXPECT_NEAR(cv::mean(density.rowRange(0, 40))[0], 0.0, 0.02);
  EXPECT_NEAR(density.at<float>(52, 100), 0.6F, 0.03F);
  EXPECT_NEAR(density.at<float>(52, 700), 0.6F, 0.03F);
}

TEST(InkDensity, OfAWindowIsThatPartOfTheWhole) {
  const Page page = shaded_page();
  const PaperLight light = paper_light(page);
  const cv::Mat whole = ink_density(page, light, {0, 0, page.grey.cols, page.grey.rows});
  const cv::Rect window(123, 77, 301, 205);
  EXPECT_EQ(cv::norm(whole(window), ink_density(page, light, window), cv::NORM_INF), 0.0);
}

TEST(ShrinkPage, KeepsThePagesSizeInMmAndItsMeanBrightness) {
  const Page page = shaded_page();
  const Page half = shrink_page(page, 2);
  EXPECT_EQ(half.grey.cols, 473);  // 945 is odd: the last column is half a square
  EXPECT_NEAR(half.width_mm(), page.width_mm(), 1.001 / page.px_per_mm_x);
  EXPECT_NEAR(cv::mean(half.grey)[0], cv::mean(page.grey)[0], 0.5);
  EXPECT_EQ(shrink_page(page, 1).grey.data, page.grey.data);
}

}  // namespace
}  // namespace underdraw
