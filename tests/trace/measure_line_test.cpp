#include "trace/measure_line.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

// Density of a straight band across the image, as wide as asked, blurred by one pixel's area.
cv::Mat band(Vec2 through, double angle_deg, double width) {
  cv::Mat out(80, 120, CV_32F);
  const Vec2 normal{-std::sin(radians(angle_deg)), std::cos(radians(angle_deg))};
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      const double d = std::abs(dot(Vec2{x + 0.5, y + 0.5} - through, normal));
      out.at<float>(y, x) = static_cast<float>(std::clamp(width / 2.0 + 0.5 - d, 0.0, 1.0));
    }
  }
  return out;
}

// Places along y, a pixel apart.
std::vector<LinePlace> level(double y, double width) {
  std::vector<LinePlace> out;
  for (int x = 30; x < 90; ++x) out.push_back({{x + 0.5, y}, {1.0, 0.0}, width, {}, {}});
  return out;
}

TEST(MeasureLine, ANeighbourWhoseInkIsMarkedDoesNotDrawTheMiddleAside) {
  const double middle = 38.0;
  const double neighbour = 42.4;  // its ink begins at 40.9
  const cv::Mat both = cv::max(band({60, middle}, 0, 3), band({60, neighbour}, 0, 3));
  std::vector<LinePlace> places = level(38.2, 3.0);
  const auto drawn = measure_line(both, places, {});
  for (LinePlace& p : places) p.right = neighbour - 1.5 - p.at.y;
  const auto told = measure_line(both, places, {});
  for (LinePlace& p : places) {  // the same line, travelled the other way
    p.along = -p.along;
    std::swap(p.left, p.right);
  }
  const auto back = measure_line(both, places, {});
  for (std::size_t i = 0; i < places.size(); ++i) {
    EXPECT_GT(std::abs(38.2 + drawn[i].aside - middle), 0.2) << "no test of the marks";
    EXPECT_NEAR(38.2 + told[i].aside, middle, 0.1);
    EXPECT_NEAR(38.2 - back[i].aside, middle, 0.1);
    EXPECT_GT(told[i].weight, 0.7);
  }
}

TEST(MeasureLine, WithOneSideInOtherInkTheFreeEdgeTellsThePlace) {
  const double middle = 38.3;
  for (const double width : {3.0, 5.0}) {
    for (const double off : {-0.4, 0.0, 0.5}) {
      for (const bool below : {true, false}) {
        // The other line covers the last pixel of this one's width.
        const double other = middle + (below ? 1.0 : -1.0) * (0.5 * width - 1.0 + 3.0);
        const cv::Mat both = cv::max(band({60, middle}, 0, width), band({60, other}, 0, 6));
        std::vector<LinePlace> places = level(middle + off, width);
        for (LinePlace& p : places) {
          (below ? p.right : p.left) = std::abs(other - p.at.y) - 3.0;
        }
        for (const LineReading& r : measure_line(both, places, {})) {
          EXPECT_NEAR(off + r.aside, 0.0, 0.15) << width << " px wide, off by " << off;
          EXPECT_GT(r.weight, 0.0);
          EXPECT_LT(r.weight, 0.7) << "less sure than a line that stands free";
        }
      }
    }
  }
}

TEST(MeasureLine, WhereThePenLandsLightlyTheFreeEdgeLiesNearerToTheMiddle) {
  const double middle = 38.3;
  const double body = 6.0;
  const double light = 0.15;
  const cv::Mat both =
      cv::max(band({60, middle}, 0, body * (1.0 - light)), band({60, middle + 4.0}, 0, 6));
  std::vector<LinePlace> places = level(middle, body);
  for (LinePlace& p : places) p.right = 1.0;
  const auto full = measure_line(both, places, {});
  for (LinePlace& p : places) p.light = light;
  const auto told = measure_line(both, places, {});
  for (std::size_t i = 0; i < places.size(); ++i) {
    EXPECT_NEAR(full[i].aside, 0.5 * light * body, 0.15) << "no test of the light pen";
    EXPECT_NEAR(told[i].aside, 0.0, 0.15);
  }
}

TEST(MeasureLine, ReadsNothingWhereBothSidesRunIntoOtherInk) {
  const cv::Mat density = band({60, 40}, 0, 4);
  std::vector<LinePlace> places = level(40.3, 4.0);
  for (std::size_t i = 20; i < 40; ++i) {
    places[i].left = 1.0;
    places[i].right = 1.5;
  }
  const auto readings = measure_line(density, places, {});
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (i >= 20 && i < 40) {
      EXPECT_EQ(readings[i].weight, 0.0);
      EXPECT_EQ(readings[i].width, 0.0);
    } else {
      EXPECT_GT(readings[i].weight, 0.7);
    }
  }
}

TEST(MeasureLine, ReadsNothingOnBarePaper) {
  const cv::Mat paper = cv::Mat::zeros(80, 120, CV_32F);
  for (const LineReading& r : measure_line(paper, level(40.0, 4.0), {})) {
    EXPECT_EQ(r.weight, 0.0);
  }
}

}  // namespace
}  // namespace underdraw
