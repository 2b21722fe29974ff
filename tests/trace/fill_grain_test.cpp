#include "trace/fill_grain.h"

#include <random>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kPxPerMm = 300.0 / 25.4;

InkMask blank(int width_mm = 40, int height_mm = 20) {
  const cv::Size size(static_cast<int>(width_mm * kPxPerMm),
                      static_cast<int>(height_mm * kPxPerMm));
  return {cv::Mat::zeros(size, CV_32FC1), cv::Mat::zeros(size, CV_8UC1)};
}

cv::Point px(double x_mm, double y_mm) {
  return {static_cast<int>(std::lround(x_mm * kPxPerMm)),
          static_cast<int>(std::lround(y_mm * kPxPerMm))};
}

// OpenCV's lines come out about a pixel wider than asked for.
int thickness(double mm) { return static_cast<int>(std::lround(mm * kPxPerMm)) - 1; }

void set_darkness(InkMask& mask) { mask.ink.convertTo(mask.smooth, CV_32F, 0.7); }

int holes_in(const cv::Mat& ink) {
  std::vector<std::vector<cv::Point>> borders;
  std::vector<cv::Vec4i> tree;
  cv::findContours(ink, borders, tree, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
  int holes = 0;
  for (const cv::Vec4i& branch : tree) holes += branch[3] >= 0 ? 1 : 0;
  return holes;
}

bool unchanged(const InkMask& drawn) {
  InkMask mask{drawn.smooth.clone(), drawn.ink.clone()};
  const bool said = fill_grain(mask, {.px_per_mm = kPxPerMm});
  return !said && cv::countNonZero(mask.ink != drawn.ink) == 0 &&
         cv::countNonZero(mask.smooth != drawn.smooth) == 0;
}

TEST(FillGrain, ABroadMarkLosesItsPinholesAndKeepsItsEdge) {
  InkMask whole = blank();
  cv::line(whole.ink, px(6, 6), px(34, 14), cv::Scalar(1), thickness(2.0));
  set_darkness(whole);
  InkMask pierced{whole.smooth.clone(), whole.ink.clone()};
  std::mt19937 random(3);
  for (int i = 0; i < 500; ++i) {
    const double t = 0.02 + 0.96 * static_cast<double>(random() % 1000) / 1000.0;
    const double across = static_cast<double>(random() % 1000) / 1000.0 - 0.5;
    pierced.ink.at<uchar>(px(6 + 28 * t, 6 + 8 * t + 1.5 * across)) = 0;
  }
  set_darkness(pierced);
  ASSERT_GT(holes_in(pierced.ink), 50);
  EXPECT_TRUE(fill_grain(pierced, {.px_per_mm = kPxPerMm}));
  EXPECT_EQ(holes_in(pierced.ink), 0);
  EXPECT_EQ(cv::countNonZero(pierced.ink & (whole.ink == 0)), 0);
  EXPECT_GT(cv::countNonZero(pierced.ink), 0.98 * cv::countNonZero(whole.ink));
  // Inside it is as dark as before it was pierced, so a middle can be found by darkness.
  cv::Mat inside;
  cv::erode(whole.ink, inside, cv::Mat::ones(9, 9, CV_8U));
  EXPECT_GT(cv::mean(pierced.smooth, inside)[0], 0.69);
}

TEST(FillGrain, LinesAreLeftAlone) {
  InkMask mask = blank();
  for (int i = 0; i < 6; ++i) {  // also where many cross
    cv::line(mask.ink, px(5, 1 + 3.4 * i), px(35, 18 - 3.4 * i), cv::Scalar(1), thickness(0.4));
  }
  set_darkness(mask);
  EXPECT_TRUE(unchanged(mask));
}

TEST(FillGrain, TinyLoopsKeepTheirHoles) {
  InkMask mask = blank();
  for (int i = 0; i < 8; ++i) {
    cv::circle(mask.ink, px(4 + 4 * i, 10), 4, cv::Scalar(1), thickness(0.35));
  }
  set_darkness(mask);
  ASSERT_EQ(holes_in(mask.ink), 8);
  EXPECT_TRUE(unchanged(mask));
}

TEST(FillGrain, HatchingKeepsItsGaps) {
  InkMask mask = blank();
  for (int i = 0; i < 20; ++i) {
    cv::line(mask.ink, px(5 + 0.5 * i, 5), px(8 + 0.5 * i, 15), cv::Scalar(1), thickness(0.25));
  }
  set_darkness(mask);
  EXPECT_TRUE(unchanged(mask));
}

TEST(FillGrain, CrossedHatchingKeepsItsSquares) {
  InkMask mask = blank();
  for (int i = 0; i < 20; ++i) {
    cv::line(mask.ink, px(5 + 0.5 * i, 5), px(5 + 0.5 * i, 15), cv::Scalar(1), thickness(0.25));
    cv::line(mask.ink, px(5, 5 + 0.5 * i), px(15, 5 + 0.5 * i), cv::Scalar(1), thickness(0.25));
  }
  set_darkness(mask);
  EXPECT_TRUE(unchanged(mask));
}

TEST(FillGrain, NothingIsFoundInNothing) { EXPECT_TRUE(unchanged(blank())); }

}  // namespace
}  // namespace underdraw
