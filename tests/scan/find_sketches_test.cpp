#include "scan/find_sketches.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kPxPerMm = 300.0 / 25.4;

// White paper 200 x 150 mm with rings of pencil width at the given places (mm).
Page rings(const std::vector<cv::Point2d>& centres, double radius_mm) {
  Page page;
  page.px_per_mm_x = page.px_per_mm_y = kPxPerMm;
  page.grey = cv::Mat(
      static_cast<int>(150 * kPxPerMm), static_cast<int>(200 * kPxPerMm), CV_8U, cv::Scalar(235));
  for (const cv::Point2d& c : centres) {
    cv::circle(page.grey, cv::Point(c * kPxPerMm), static_cast<int>(radius_mm * kPxPerMm), 70, 5);
  }
  return page;
}

SketchRegions find(const Page& page) { return find_sketches(page, paper_light(page)); }

TEST(FindSketches, SixMmOfPaperTellsTwoApartAndThreeDoNot) {
  // Gap between the rings' ink: distance - 2 radii - pen.
  EXPECT_EQ(find(rings({{50, 50}, {50 + 20 + 0.45 + 6, 50}}, 10)).sketch_count, 2U);
  EXPECT_EQ(find(rings({{50, 50}, {50 + 20 + 0.45 + 3, 50}}, 10)).sketch_count, 1U);
}

TEST(FindSketches, AreReadLeftToRightThenTopToBottomThoughSetUnevenly) {
  const SketchRegions got = find(rings({{150, 44}, {40, 40}, {95, 36}, {60, 110}, {140, 104}}, 12));
  ASSERT_EQ(got.sketch_count, 5U);
  const std::vector<double> left = {28, 83, 138, 48, 128};
  for (std::size_t i = 0; i < 5; ++i) EXPECT_NEAR(got.boxes[i].x / kPxPerMm, left[i], 1.0);
}

TEST(FindSketches, ASmallMarkBelongsToTheSketchNearItAndAFarOneToNone) {
  Page page = rings({{60, 60}}, 15);
  cv::circle(page.grey, cv::Point2d(83, 60) * kPxPerMm, 4, 70, cv::FILLED);
  EXPECT_EQ(find(page).boxes.size(), 1U);
  EXPECT_NEAR(find(page).boxes[0].br().x / kPxPerMm, 83.4, 0.7);
  cv::circle(page.grey, cv::Point2d(150, 120) * kPxPerMm, 4, 70, cv::FILLED);
  EXPECT_EQ(find(page).sketch_count, 1U);
  EXPECT_EQ(find(page).boxes.size(), 2U);
}

TEST(FindSketches, TheLidBesideThePaperIsNoSketch) {
  Page page = rings({{60, 60}}, 15);
  page.grey.colRange(page.grey.cols - 40, page.grey.cols).setTo(90);
  page.grey.rowRange(page.grey.rows - 30, page.grey.rows).setTo(90);
  EXPECT_EQ(find(page).boxes.size(), 1U);
}

TEST(FindSketches, ALineThatRunsOffThePageIsKept) {
  Page page = rings({}, 1);
  cv::line(page.grey, {0, 600}, {900, 700}, 70, 5);
  const SketchRegions got = find(page);
  ASSERT_EQ(got.sketch_count, 1U);
  EXPECT_LE(got.boxes[0].x, 4);
}

TEST(FindSketches, AnEmptyPageHasNone) { EXPECT_TRUE(find(rings({}, 1)).boxes.empty()); }

}  // namespace
}  // namespace underdraw
