#include "trace/thin.h"

#include <random>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

int parts(const cv::Mat& mask, int connectivity) {
  cv::Mat labels;
  return cv::connectedComponents(mask, labels, connectivity) - 1;
}

// Discs and bars at random places, some overlapping, some with holes.
cv::Mat random_blobs(unsigned seed) {
  std::mt19937 random(seed);
  const auto at = [&] { return 12 + static_cast<int>(random() % 176); };
  cv::Mat mask = cv::Mat::zeros(200, 200, CV_8U);
  for (int i = 0; i < 14; ++i) {
    const int width = 1 + static_cast<int>(random() % 9);
    cv::line(mask, {at(), at()}, {at(), at()}, 1, width);
    cv::circle(mask, {at(), at()}, 3 + static_cast<int>(random() % 8), 1, i % 2 ? 2 : -1);
  }
  return mask;
}

TEST(Thin, KeepsPartsAndHolesOfRandomShapes) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const cv::Mat ink = random_blobs(seed);
    const cv::Mat line = thin(ink).line;
    EXPECT_EQ(parts(line, 8), parts(ink, 8)) << "seed " << seed;
    EXPECT_EQ(parts(1 - line, 4), parts(1 - ink, 4)) << "seed " << seed;
    EXPECT_EQ(cv::countNonZero(line & ~ink), 0) << "seed " << seed;
  }
}

TEST(Thin, LeavesNoPixelThatCouldStillGo) {
  // Four ink pixels in a square always contain one too many, but where four lines meet on it.
  for (unsigned seed = 1; seed <= 10; ++seed) {
    const cv::Mat line = thin(random_blobs(seed)).line;
    const int before = cv::countNonZero(line);
    EXPECT_EQ(cv::countNonZero(thin(line).line), before) << "seed " << seed;
  }
}

TEST(Thin, KeepsTheLengthOfBarsOfEveryWidthAndDirection) {
  for (int width = 1; width <= 9; ++width) {
    for (const cv::Point end : {cv::Point(140, 20), cv::Point(20, 140), cv::Point(110, 110)}) {
      cv::Mat ink = cv::Mat::zeros(170, 170, CV_8U);
      cv::line(ink, {20, 20}, end, 1, width);
      const cv::Mat line = thin(ink).line;
      std::vector<cv::Point> points;
      cv::findNonZero(line, points);
      const cv::Rect box = cv::boundingRect(points);
      const int asked = std::max(end.x - 20, end.y - 20);
      EXPECT_GE(std::max(box.width, box.height), asked - width) << width << " to " << end;
    }
  }
}

TEST(Thin, RadiusIsTheDistanceToPaper) {
  cv::Mat ink = cv::Mat::zeros(60, 60, CV_8U);
  cv::rectangle(ink, {10, 20, 40, 9}, 1, cv::FILLED);
  EXPECT_NEAR(thin(ink).radius.at<float>(24, 30), 5.0F, 1e-4F);
}

}  // namespace
}  // namespace underdraw
