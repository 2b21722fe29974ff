#include "trace/polish_strokes.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

constexpr double kWidth = 4.0;  // px, a third of a millimetre at 300 per inch

struct Segment {
  Vec2 a, b;
};

// Signed: positive to the right of travel.
double aside(const Segment& s, Vec2 p) { return cross(normalized(s.b - s.a), p - s.a); }

double distance_to(const Segment& s, Vec2 p) {
  const Vec2 way = s.b - s.a;
  return distance(p, s.a + way * std::clamp(dot(p - s.a, way) / dot(way, way), 0.0, 1.0));
}

// Density of lines with round ends, blurred by one pixel's area.
cv::Mat drawn(const std::vector<Segment>& lines) {
  cv::Mat out(160, 160, CV_32F);
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      double d = 1e9;
      for (const Segment& s : lines) d = std::min(d, distance_to(s, {x + 0.5, y + 0.5}));
      out.at<float>(y, x) = static_cast<float>(std::clamp(kWidth / 2.0 + 0.5 - d, 0.0, 1.0));
    }
  }
  return out;
}

FittedStroke stroke(const std::vector<Vec2>& corners) {
  return {Path::polyline(corners), kWidth, 1.0, {}};
}

Segment moved(const Segment& s, Vec2 by) { return {s.a + by, s.b + by}; }

TEST(PolishStrokes, CrossingLinesComeToTheMiddleOfTheirInkAndRunThroughUncut) {
  const Vec2 meeting{80.3, 79.6};
  for (const double angle : {55.0, 90.0}) {
    const Vec2 way = Affine::turn_deg(angle) * Vec2{1.0, 0.0};
    const std::vector<Segment> truth{{meeting - Vec2{60, 0}, meeting + Vec2{60, 0}},
                                     {meeting - way * 60.0, meeting + way * 60.0}};
    std::vector<FittedStroke> strokes;
    for (const Segment& s : truth) {
      const Segment off = moved(s, perpendicular(normalized(s.b - s.a)) * 0.5);
      strokes.push_back(stroke({off.a, off.b}));
    }
    polish_strokes(strokes, drawn(truth), Closeness::fine, {});
    ASSERT_EQ(strokes.size(), 2U);
    for (std::size_t s = 0; s < 2; ++s) {
      const double blot = kWidth / std::sin(radians(angle)) + 2.0;
      for (const Vec2 p : sample(strokes[s].path, 0.5)) {
        const double from_meeting = distance(p, meeting);
        if (from_meeting > 56.0) continue;  // the round of the ends
        EXPECT_LT(std::abs(aside(truth[s], p)), from_meeting > blot ? 0.1 : 0.25)
            << angle << " deg, line " << s << ", " << from_meeting << " px from the crossing";
      }
      EXPECT_LT(distance(strokes[s].path.points.front(), truth[s].a), 2.0);
      EXPECT_LT(distance(strokes[s].path.points.back(), truth[s].b), 2.0);
      EXPECT_NEAR(strokes[s].path.length(), 120.0, 4.0);
      EXPECT_NEAR(strokes[s].width, kWidth, 0.15);
    }
  }
}

TEST(PolishStrokes, TheStemOfATEndsInTheMiddleOfTheLineThatItMeets) {
  const Vec2 meeting{80.3, 90.4};
  for (const double angle : {-50.0, -90.0, -120.0}) {
    for (const double early : {-1.5, 0.0, 1.5}) {  // px that the stem ends before the middle
      const Vec2 way = Affine::turn_deg(angle) * Vec2{1.0, 0.0};
      const std::vector<Segment> truth{{meeting - Vec2{60, 0}, meeting + Vec2{60, 0}},
                                       {meeting + way * 60.0, meeting}};
      std::vector<FittedStroke> strokes{
          stroke({truth[0].a + Vec2{0, 0.3}, truth[0].b + Vec2{0, 0.3}}),
          stroke({truth[1].a, meeting + way * early})};
      polish_strokes(strokes, drawn(truth), Closeness::fine, {});
      const Vec2 end = strokes[1].path.points.back();
      EXPECT_LT(std::abs(aside(truth[0], end)), 0.5) << angle << " deg, early by " << early;
      EXPECT_LT(std::abs(aside(truth[1], end)), 0.5) << angle << " deg, early by " << early;
      for (const Vec2 p : sample(strokes[0].path, 0.5)) {
        if (distance(p, meeting) < 56.0) {
          EXPECT_LT(std::abs(aside(truth[0], p)), 0.15) << "the through line is not drawn aside";
        }
      }
    }
  }
}

}  // namespace
}  // namespace underdraw
