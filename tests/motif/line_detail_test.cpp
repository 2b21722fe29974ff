#include "motif/line_detail.h"

#include <chrono>

#include <gtest/gtest.h>

#include "core/error.h"
#include "motif/shapes.h"
#include "support/seeded.h"

namespace underdraw {
namespace {

constexpr LineTool kPen{0.5, 0.8};

// Circles and spirals are drawn as polylines of many corners: within this of the true curve.
constexpr double kNear = 0.006;
constexpr double kPi = std::numbers::pi;

Stroke line(const std::vector<Vec2>& corners, double width = 0.5, bool closed = false) {
  return {Path::polyline(corners, closed), width};
}

Stroke dot(Vec2 at, double diameter) { return {Path{{at}, false}, diameter}; }

Path ring(Vec2 centre, double radius, int corners = 360) {
  std::vector<Vec2> points;
  for (int i = 0; i < corners; ++i) {
    points.push_back(centre + Affine::turn_deg(360.0 * i / corners) * Vec2{radius, 0});
  }
  return Path::polyline(points, true);
}

Linework strokes(std::vector<Stroke> all) { return {std::move(all), {}}; }

double gap_of(const Linework& lines) {
  const LineDetail detail = line_detail(lines, kPen);
  EXPECT_TRUE(detail.closest_gap.has_value());
  return detail.closest_gap ? detail.closest_gap->gap_mm : -1.0;
}

bool has_gap(const Linework& lines) { return line_detail(lines, kPen).closest_gap.has_value(); }

TEST(LineDetail, ParallelLinesAreAsCloseAsTheirCentresLessAPen) {
  const LineDetail detail =
      line_detail(strokes({line({{0, 0}, {30, 0}}), line({{0, 1.2}, {30, 1.2}})}), kPen);
  ASSERT_TRUE(detail.closest_gap);
  EXPECT_NEAR(detail.closest_gap->gap_mm, 0.7, 1e-9);
  EXPECT_NEAR(distance(detail.closest_gap->from, detail.closest_gap->to), 0.7, 1e-9);
  EXPECT_EQ(detail.closest_gap->between, "two lines");
  // k × 1.2 − 0.5 = 0.8
  EXPECT_NEAR(detail.least_scale, 1.3 / 1.2, 1e-9);
  EXPECT_EQ(detail.reason, "two lines come 0.70 mm close");
  EXPECT_FALSE(detail.reads_at(1.0));
  EXPECT_TRUE(detail.reads_at(1.3 / 1.2));
}

TEST(LineDetail, TheToolsWidthAndNotTheDrawnOneSetsTheLimit) {
  const Linework lines = strokes({line({{0, 0}, {30, 0}}, 0.2), line({{0, 2}, {30, 2}}, 0.2)});
  for (const double pen : {0.3, 0.5, 1.0}) {
    const LineDetail detail = line_detail(lines, {.width_mm = pen, .gap_mm = 0.6});
    EXPECT_NEAR(detail.closest_gap->gap_mm, 1.8, 1e-9);
    EXPECT_NEAR(detail.least_scale, (0.6 + pen) / 2.0, 1e-9) << pen;
  }
}

TEST(LineDetail, WidthsAlongALineCount) {
  Linework lines = strokes({line({{0, 0}, {20, 0}}), line({{0, 2}, {20, 2}})});
  lines.strokes[1].widths_mm = {0.4, 0.4, 1.2, 0.4, 0.4};  // 1.2 wide in the middle
  const LineDetail detail = line_detail(lines, kPen);
  EXPECT_NEAR(detail.closest_gap->gap_mm, 2.0 - 0.25 - 0.6, 0.01);
  EXPECT_NEAR(detail.closest_gap->from.x, 10.0, 0.2);
  EXPECT_NEAR(detail.thinnest_line->width_mm, 0.4, 1e-12);
}

TEST(LineDetail, LinesThatCrossMeetOrTouchHaveNoGap) {
  EXPECT_FALSE(has_gap(strokes({line({{-10, 0}, {10, 0}}), line({{0, -10}, {0, 10}})})));
  EXPECT_FALSE(has_gap(strokes({line({{-10, -2}, {10, 2}}), line({{-10, 2}, {10, -2}})})));
  EXPECT_FALSE(has_gap(strokes({line({{-10, 0}, {10, 0}}), line({{0, 0}, {0, 10}})})));  // T
  EXPECT_FALSE(has_gap(strokes({line({{-10, 0}, {10, 0}}), line({{0, 0.3}, {0, 9}})})));
  EXPECT_FALSE(has_gap(
      strokes({line({{0, 0}, {0, 9}}), line({{0, 9}, {3, 20}}), line({{0, 9}, {-3, 20}})})));  // Y
  EXPECT_FALSE(has_gap(strokes({line({{0, 0}, {20, 1.5}, {0, 3}})})));       // sharp corner
  EXPECT_FALSE(has_gap(strokes({line({{0, 0}, {2, 9}, {4, 0}, {6, 9}})})));  // zigzag
  EXPECT_FALSE(has_gap(strokes({line({{0, 0}, {30, 0}})})));
  EXPECT_FALSE(has_gap(strokes({{ring({0, 0}, 5), 0.5}})));
}

TEST(LineDetail, LinesThatCrossAtAnyAngleAboveEightDegreesHaveNoGap) {
  for (double angle = 8.0; angle <= 90.0; angle += 3.7) {
    const Vec2 arm = Affine::turn_deg(angle) * Vec2{15, 0};
    EXPECT_FALSE(has_gap(strokes({line({{-15, 0}, {15, 0}}), line({-arm, arm})}))) << angle;
    EXPECT_FALSE(has_gap(strokes({line({{-15, 0}, {15, 0}}), line({{0, 0}, arm})}))) << angle;
    EXPECT_FALSE(has_gap(strokes({line({{15, 0}, {0, 0}, arm})}))) << angle;
  }
}

TEST(LineDetail, AnEndShortOfALineIsAGapUnlessItWasMeantToMeet) {
  const auto short_of = [](double white) {
    return strokes({line({{-10, 0}, {10, 0}}), line({{0, 0.5 + white}, {0, 12}})});
  };
  EXPECT_NEAR(gap_of(short_of(0.4)), 0.4, 1e-9);
  EXPECT_FALSE(has_gap(short_of(0.1)));
}

TEST(LineDetail, LinesThatMeetAndRunBesideEachOtherElsewhereHaveThatGap) {
  // Two tines from one stem, 1.5 mm apart for 12 mm.
  const Linework fork = strokes({line({{0, 0}, {0, 5}}),
                                 line({{0, 5}, {-0.75, 6.5}, {-0.75, 18}}),
                                 line({{0, 5}, {0.75, 6.5}, {0.75, 18}})});
  EXPECT_NEAR(gap_of(fork), 1.0, 0.06);  // 5 % narrower is still beside
  // Cross at one end, come close at the other.
  const Linework bow = strokes({line({{-10, 0}, {10, 0}, {16, 3}, {20, 3}}),
                                line({{-2, -8}, {4, 8}, {16, 4.2}, {20, 4.2}})});
  EXPECT_NEAR(gap_of(bow), 0.7, 1e-6);
}

TEST(LineDetail, AHairpinIsNarrowBetweenItsSides) {
  std::vector<Vec2> points = {{12, -0.6}};
  for (int i = 0; i <= 180; ++i) {
    points.push_back(Affine::turn_deg(-i) * Vec2{0, -0.6});
  }
  points.push_back({12, 0.6});
  const LineDetail detail = line_detail(strokes({line(points)}), kPen);
  ASSERT_TRUE(detail.closest_gap);
  EXPECT_NEAR(detail.closest_gap->gap_mm, 0.7, 1e-6);
  EXPECT_EQ(detail.closest_gap->between, "two stretches of one line");
}

TEST(LineDetail, ASpiralIsAsCloseAsItsPitchLessAPen) {
  std::vector<Vec2> points;
  for (int i = 0; i <= 3 * 720; ++i) {
    const double turns = i / 720.0;
    points.push_back(Affine::turn_deg(turns * 360.0) * Vec2{3.0 + 1.7 * turns, 0.0});
  }
  // Next to the pitch by the spiral's slope: pitch × cos(atan(pitch / 2 pi r)) at r = 3 to 4.7.
  const double slope = std::atan(1.7 / (2.0 * kPi * 3.85));
  EXPECT_NEAR(gap_of(strokes({line(points)})), 1.7 * std::cos(slope) - 0.5, 0.02);
}

TEST(LineDetail, AClosedCircleIsALoopAsWideAsItsInside) {
  const LineDetail detail = line_detail(strokes({{ring({4, 5}, 1.0), 0.5}}), kPen);
  ASSERT_TRUE(detail.smallest_loop);
  EXPECT_NEAR(detail.smallest_loop->width_mm, 1.5, kNear);
  EXPECT_NEAR(distance(detail.smallest_loop->at, {4, 5}), 0.0, 0.05);
  EXPECT_NEAR(detail.least_scale, 1.3 / 2.0, kNear);
  EXPECT_EQ(detail.reason, "a closed loop is 1.50 mm wide inside");
}

TEST(LineDetail, LoopsOfSeveralLinesAndRoundWhatStandsInThem) {
  // A square of four lines, 3 mm inside; and a circle of 10 mm with another in its middle.
  const LineDetail square = line_detail(strokes({line({{-5, 0}, {5, 0}}),
                                                 line({{-5, 3.5}, {5, 3.5}}),
                                                 line({{0, -5}, {0, 9}}),
                                                 line({{3.5, -5}, {3.5, 9}})}));
  EXPECT_NEAR(square.smallest_loop->width_mm, 3.0, kNear);
  const LineDetail between =
      line_detail(strokes({{ring({0, 0}, 5), 0.5}, {ring({0, 0}, 3.8), 0.5}}));
  EXPECT_NEAR(between.smallest_loop->width_mm, 0.7, kNear);
  EXPECT_NEAR(between.closest_gap->gap_mm, 0.7, kNear);
  EXPECT_FALSE(line_detail(strokes({line({{0, 0}, {9, 0}, {9, 9}})})).smallest_loop);
  EXPECT_FALSE(line_detail(strokes({{ring({0, 0}, 0.3), 0.5}})).smallest_loop) << "0.1 mm: met";
}

TEST(LineDetail, ADotBesideALine) {
  const LineDetail detail =
      line_detail(strokes({line({{-10, 0}, {10, 0}}), dot({1, 2}, 1.6)}), kPen);
  EXPECT_NEAR(detail.closest_gap->gap_mm, 2.0 - 0.8 - 0.25, 1e-9);
  EXPECT_EQ(detail.closest_gap->between, "a line and a dot");
  EXPECT_NEAR(detail.smallest_dot->width_mm, 1.6, 1e-12);
  EXPECT_NEAR(detail.thinnest_line->width_mm, 0.5, 1e-12);
  // The dot shrinks with the drawing while it is wider than the pen: k (2 − 0.8) − 0.25 = 0.8.
  EXPECT_NEAR(detail.least_scale, 1.05 / 1.2, 1e-9);
}

TEST(LineDetail, AnAreaBesideALineAndItsNeck) {
  // Two 6 mm squares joined by a bar of 0.9 mm, a line 1 mm under them.
  Linework lines = strokes({line({{-5, 7}, {20, 7}})});
  lines.areas.push_back({{Path::polyline({{0, 0},
                                          {6, 0},
                                          {6, 2},
                                          {12, 2},
                                          {12, 0},
                                          {18, 0},
                                          {18, 6},
                                          {12, 6},
                                          {12, 2.9},
                                          {6, 2.9},
                                          {6, 6},
                                          {0, 6}},
                                         true)}});
  const LineDetail detail = line_detail(lines, kPen);
  EXPECT_NEAR(detail.closest_gap->gap_mm, 0.75, 1e-9);
  EXPECT_EQ(detail.closest_gap->between, "a line and a solid area");
  EXPECT_NEAR(detail.thinnest_area->width_mm, 0.9, 1e-9);
  EXPECT_NEAR(detail.thinnest_area->at.x, 9.0, 3.0);
  EXPECT_NEAR(detail.least_scale, (0.8 + 0.25) / 1.0, 1e-9);
}

TEST(LineDetail, TheWidthOfAnAreaWithoutANeckIsItsWidestPlace) {
  Linework lines;
  lines.areas.push_back({{Path::polyline({{0, 0}, {12, 1}, {0, 2}}, true)}});
  // Inscribed circle of a triangle: 2 A / perimeter.
  const double sides = 2.0 + 2.0 * std::hypot(12.0, 1.0);
  EXPECT_NEAR(line_detail(lines, kPen).thinnest_area->width_mm, 2.0 * 2.0 * 12.0 / sides, 0.01);
  Linework hole;
  hole.areas.push_back({{ring({0, 0}, 5), ring({0, 0}, 2)}});
  const LineDetail detail = line_detail(hole, kPen);
  EXPECT_NEAR(detail.thinnest_area->width_mm, 3.0, kNear);
  EXPECT_NEAR(detail.smallest_loop->width_mm, 4.0, kNear);
  EXPECT_NEAR(detail.least_scale, 0.8 / 4.0, kNear) << "no pen goes round an area's hole";
}

TEST(LineDetail, NothingDrawnHasNoDetail) {
  const LineDetail detail = line_detail({});
  EXPECT_FALSE(detail.closest_gap || detail.smallest_loop || detail.thinnest_line);
  EXPECT_EQ(detail.least_scale, 0.0);
  EXPECT_TRUE(detail.reason.empty());
}

TEST(LineDetail, RefusesAToolThatCannotBe) {
  EXPECT_THROW(line_detail({}, {.width_mm = 0.0}), OptionError);
  EXPECT_THROW(line_detail({}, {.gap_mm = -0.1}), OptionError);
}

std::vector<Linework> drawings() {
  Linework mixed = shapes::by_hand(shapes::kelp(), 0.2, 3);
  mixed.strokes.push_back(dot({-8, 10}, 1.1));
  mixed.areas.push_back({{ring({-14, 30}, 3), ring({-14, 30}, 1.6)}});
  return {shapes::scallop(), shapes::thistle(), shapes::feather(), mixed};
}

TEST(LineDetail, GrowsWithTheDrawingAndItsTool) {
  for (const Linework& lines : drawings()) {
    const LineDetail plain = line_detail(lines, kPen);
    for (const double k : {0.37, 2.9}) {
      const LineDetail scaled = line_detail(transformed(lines, Affine::scale(k)),
                                            {.width_mm = 0.5 * k, .gap_mm = 0.8 * k});
      EXPECT_NEAR(scaled.closest_gap->gap_mm, k * plain.closest_gap->gap_mm, k * 1e-6);
      EXPECT_NEAR(scaled.least_scale, plain.least_scale, 1e-3 * plain.least_scale);
      ASSERT_EQ(scaled.smallest_loop.has_value(), plain.smallest_loop.has_value());
      if (plain.smallest_loop) {
        EXPECT_NEAR(
            scaled.smallest_loop->width_mm, k * plain.smallest_loop->width_mm, k * 2 * kNear);
      }
    }
  }
}

TEST(LineDetail, MirroredAndTurnedDrawingsAreAsFine) {
  for (const Linework& lines : drawings()) {
    const LineDetail plain = line_detail(lines, kPen);
    for (const Affine& change : {Affine::mirror_x(), Affine::turn_deg(33.0)}) {
      const LineDetail other = line_detail(transformed(lines, change), kPen);
      EXPECT_NEAR(other.closest_gap->gap_mm, plain.closest_gap->gap_mm, 1e-6);
      EXPECT_NEAR(other.least_scale, plain.least_scale, 1e-3 * plain.least_scale);
    }
  }
}

// A slow second opinion: at the scale found, drawn with the tool's width, the gap found is the
// least gap; a little smaller, it is less.
TEST(LineDetail, AtTheLeastScaleTheGapIsTheLeastGap) {
  test::Dice dice(11);
  for (int round = 0; round < 6; ++round) {
    // Wavy lines side by side, none of which meets another.
    Linework lines;
    for (int i = 0; i < 5; ++i) {
      const double wave = dice.uniform(0.0, 0.6);
      const double phase = dice.uniform(0.0, 6.0);
      std::vector<Vec2> points;
      for (int k = 0; k <= 200; ++k) {
        points.push_back({k * 0.2, 2.4 * i + wave * std::sin(k * 0.1 + phase)});
      }
      lines.strokes.push_back(line(points));
    }
    // Points against points.
    double apart = 1e9;
    for (int i = 0; i < 4; ++i) {
      for (const Vec2 p : sample(lines.strokes[static_cast<std::size_t>(i)].path, 0.05)) {
        for (const Vec2 q : sample(lines.strokes[static_cast<std::size_t>(i) + 1].path, 0.05)) {
          apart = std::min(apart, distance(p, q));
        }
      }
    }
    const LineDetail detail = line_detail(lines, kPen);
    EXPECT_NEAR(detail.closest_gap->gap_mm, apart - 0.5, 0.002);
    EXPECT_NEAR(detail.least_scale * apart - 0.5, 0.8, 0.004);
  }
}

TEST(LineDetail, WorkGrowsWithTheLinesAndNotWithTheirSquare) {
  // The same hatching eight times as large: about eight times the work. The factor leaves room for
  // a busy machine; the square would be 64.
  const auto hatching = [](int rows) {
    Linework lines;
    for (int i = 0; i < rows; ++i) lines.strokes.push_back(line({{0, 1.0 * i}, {60, 1.0 * i}}));
    return lines;
  };
  const auto seconds = [](const Linework& lines) {
    double best = 1e9;
    for (int i = 0; i < 3; ++i) {
      const auto start = std::chrono::steady_clock::now();
      EXPECT_NEAR(line_detail(lines, kPen).closest_gap->gap_mm, 0.5, 1e-9);
      const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
      best = std::min(best, took.count());
    }
    return best;
  };
  EXPECT_LT(seconds(hatching(160)), 24.0 * seconds(hatching(20)));
}

}  // namespace
}  // namespace underdraw
