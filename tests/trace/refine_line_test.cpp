#include "trace/refine_line.h"

#include <gtest/gtest.h>

#include "trace/measure_width.h"

namespace underdraw {
namespace {

// Density of a straight band across the image, as wide as asked, blurred by one pixel's area.
cv::Mat band(Vec2 through, double angle_deg, double width, double darkness = 1.0) {
  cv::Mat out(80, 120, CV_32F);
  const Vec2 normal{-std::sin(radians(angle_deg)), std::cos(radians(angle_deg))};
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      const double d = std::abs(dot(Vec2{x + 0.5, y + 0.5} - through, normal));
      out.at<float>(y, x) =
          static_cast<float>(darkness * std::clamp(width / 2.0 + 0.5 - d, 0.0, 1.0));
    }
  }
  return out;
}

TEST(RefineLine, FindsTheMiddleAndTheWidthOfABandToASmallPartOfAPixel) {
  for (const double angle : {0.0, 7.0, 20.0, 33.0}) {
    for (const double width : {3.0, 4.6, 8.0}) {
      for (const double off : {-0.9, -0.3, 0.4, 0.8}) {
        const Vec2 through{60.3, 40.2};
        const cv::Mat density = band(through, angle, width);
        const Vec2 along{std::cos(radians(angle)), std::sin(radians(angle))};
        std::vector<Vec2> rough;
        for (int i = -30; i <= 30; ++i) {
          rough.push_back(through + along * i + perpendicular(along) * off);
        }
        const std::vector<double> radius(rough.size(), width / 2.0);
        const RefinedLine line = refine_line(density, rough, radius, false, {});
        const std::vector<double> widths = measure_width(density, line.points, radius, false);
        for (std::size_t i = 6; i + 6 < rough.size(); ++i) {
          EXPECT_NEAR(widths[i], width, 0.15);
          EXPECT_LT(std::abs(cross(along, line.points[i] - through)), 0.06)
              << angle << " deg, " << width << " px wide, off by " << off;
        }
      }
    }
  }
}

TEST(RefineLine, IsNotDrawnAsideByANeighbour) {
  const cv::Mat both = cv::max(band({60, 38}, 0, 3), band({60, 44.5}, 0, 3));
  std::vector<Vec2> rough;
  for (int x = 20; x < 100; ++x) rough.push_back({x + 0.5, 38.4});
  const RefinedLine line =
      refine_line(both, rough, std::vector<double>(rough.size(), 1.5), false, {});
  for (std::size_t i = 6; i + 6 < rough.size(); ++i) EXPECT_NEAR(line.points[i].y, 38.0, 0.1);
}

TEST(RefineLine, TellsASoftShadowFromALineByItsEdges) {
  const cv::Mat sharp = band({60, 40}, 0, 6);
  cv::Mat soft(80, 120, CV_32F);
  for (int y = 0; y < soft.rows; ++y) {
    for (int x = 0; x < soft.cols; ++x) {
      const double d = y + 0.5 - 40.0;
      soft.at<float>(y, x) = static_cast<float>(0.2 * std::exp(-d * d / (2.0 * 9.0 * 9.0)));
    }
  }
  std::vector<Vec2> rough;
  for (int x = 20; x < 100; ++x) rough.push_back({x + 0.5, 40.5});
  const auto slope = [&](const cv::Mat& density, double radius) {
    return refine_line(density, rough, std::vector<double>(rough.size(), radius), false, {})
        .edge_slope;
  };
  EXPECT_LT(slope(sharp, 3.0), 1.5);
  EXPECT_GT(slope(soft, 10.0), 5.0);
}

}  // namespace
}  // namespace underdraw
