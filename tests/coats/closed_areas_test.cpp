// Areas that lines close in. Checked against sizes and places known from plane geometry.
#include "coats/closed_areas.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "coats/label_borders.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

Stroke line(const std::vector<Vec2>& corners, bool closed = false) {
  return {Path::polyline(corners, closed), 0.4};
}

// Part of a circle, from one angle to another, degrees.
Stroke arc(Vec2 centre, double radius, double from_deg, double to_deg) {
  std::vector<Vec2> corners;
  const int steps = 360;
  for (int i = 0; i <= steps; ++i) {
    const double a = radians(from_deg + (to_deg - from_deg) * i / steps);
    corners.push_back(centre + Vec2{std::cos(a), std::sin(a)} * radius);
  }
  return line(corners);
}

Stroke square(Vec2 from, double side) {
  return line({from, from + Vec2{side, 0.0}, from + Vec2{side, side}, from + Vec2{0.0, side}, from},
              true);
}

double size_of(const Rings& rings) {
  double area = 0.0;
  for (const Ring& ring : rings) area += signed_area(ring);
  return area;
}

TEST(ClosedAreas, ACircleIsOneAreaOfItsSize) {
  const ClosedAreas found = closed_areas({{arc({20.0, 20.0}, 10.0, 0.0, 360.0)}, {}});
  ASSERT_EQ(found.areas.size(), 1U);
  EXPECT_NEAR(found.areas[0].size_mm2, kPi * 100.0, 2.0);
  EXPECT_NEAR(size_of(found.areas[0].rings), kPi * 100.0, 2.0);
  EXPECT_NEAR(found.areas[0].edge_mm, 2.0 * kPi * 10.0, 0.7);
  EXPECT_LE(distance(found.areas[0].label_at, {20.0, 20.0}), 0.3);
  EXPECT_NEAR(found.areas[0].label_mm, 20.0, 0.3);
  EXPECT_TRUE(found.leaks.empty());
}

TEST(ClosedAreas, LinesAcrossASquareMakeFourThatMeetInTheirMiddle) {
  const Linework lines{{square({0.0, 0.0}, 20.0),
                        line({{5.0, 0.0}, {5.0, 20.0}}),
                        line({{0.0, 12.0}, {20.0, 12.0}})},
                       {}};
  const ClosedAreas found = closed_areas(lines);
  ASSERT_EQ(found.areas.size(), 4U);
  const double sizes[] = {15.0 * 12.0, 15.0 * 8.0, 5.0 * 12.0, 5.0 * 8.0};
  double all = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_NEAR(found.areas[i].size_mm2, sizes[i], 2.5) << i;
    all += size_of(found.areas[i].rings);
  }
  EXPECT_NEAR(all, 400.0, 3.0);
}

TEST(ClosedAreas, AcuteTipsBelongToTheirOwnSideOfTheLine) {
  // A leaf 30 long with a rib: each half is known exactly, tips included.
  const double down = 9.0;
  const Linework lines{{arc({15.0, down},
                            std::hypot(15.0, down),
                            degrees(std::atan2(-down, -15.0)),
                            degrees(std::atan2(-down, 15.0))),
                        arc({15.0, -down},
                            std::hypot(15.0, down),
                            degrees(std::atan2(down, -15.0)),
                            degrees(std::atan2(down, 15.0))),
                        line({{0.0, 0.0}, {30.0, 0.0}})},
                       {}};
  const double r = std::hypot(15.0, down);
  const double half = r * r * std::asin(15.0 / r) - 15.0 * down;  // circular segment
  const ClosedAreas found = closed_areas(lines);
  ASSERT_EQ(found.areas.size(), 2U);
  EXPECT_NEAR(found.areas[0].size_mm2, half, 0.02 * half);
  EXPECT_NEAR(found.areas[1].size_mm2, half, 0.02 * half);
}

TEST(ClosedAreas, AnIslandIsAHoleInItsArea) {
  const ClosedAreas found = closed_areas({{square({0.0, 0.0}, 20.0), square({6.0, 6.0}, 8.0)}, {}});
  ASSERT_EQ(found.areas.size(), 2U);
  EXPECT_NEAR(found.areas[0].size_mm2, 400.0 - 64.0, 3.0);
  EXPECT_EQ(found.areas[0].rings.size(), 2U);
  EXPECT_NEAR(size_of(found.areas[0].rings), 400.0 - 64.0, 3.0);
}

// An opening of so many mm from ink to ink in a circle of radius 10.
Linework open_circle(double open_mm) {
  const double gap = open_mm + 0.4;  // the pen is 0.4 wide
  const double half = degrees(std::asin(gap / 2.0 / 10.0));
  return {{arc({20.0, 20.0}, 10.0, half, 360.0 - half)}, {}};
}

TEST(ClosedAreas, ANarrowOpeningCountsAsClosed) {
  const ClosedAreas found = closed_areas(open_circle(0.8));
  ASSERT_EQ(found.areas.size(), 1U);
  EXPECT_NEAR(found.areas[0].size_mm2, kPi * 100.0, 4.0);
  EXPECT_TRUE(found.leaks.empty());
}

TEST(ClosedAreas, AWideOpeningIsALeakInItsPlace) {
  const ClosedAreas found = closed_areas(open_circle(1.8));
  EXPECT_TRUE(found.areas.empty());
  ASSERT_EQ(found.leaks.size(), 1U);
  EXPECT_NEAR(found.leaks[0].open_mm, 1.8, 0.25);
  EXPECT_LE(distance(found.leaks[0].at, {30.0, 20.0}), 0.6);
  EXPECT_NEAR(found.leaks[0].size_mm2, kPi * 100.0, 8.0);
}

TEST(ClosedAreas, AWiderOpeningStillIsWhenItIsToBeClosed) {
  const ClosedAreas found = closed_areas(open_circle(1.8), {.close_mm = 2.2});
  EXPECT_EQ(found.areas.size(), 1U);
  EXPECT_TRUE(found.leaks.empty());
}

TEST(ClosedAreas, AStemThatIsOpenBelowIsALeakThere) {
  // Two lines 2 apart, joined above, as wide all along.
  const Linework lines{{line({{10.0, 40.0}, {10.0, 5.0}, {12.4, 5.0}, {12.4, 40.0}})}, {}};
  const ClosedAreas found = closed_areas(lines);
  EXPECT_TRUE(found.areas.empty());
  ASSERT_EQ(found.leaks.size(), 1U);
  EXPECT_NEAR(found.leaks[0].open_mm, 2.0, 0.15);
  EXPECT_LE(distance(found.leaks[0].at, {11.2, 40.0}), 0.2);
  EXPECT_NEAR(found.leaks[0].size_mm2, 2.4 * 35.0, 3.0);
}

TEST(ClosedAreas, RibsThatEndInsideALeafAreNoLeaks) {
  const Linework lines{{square({0.0, 0.0}, 20.0),
                        line({{5.0, 0.0}, {5.0, 18.0}}),
                        line({{10.0, 0.0}, {10.0, 18.0}})},
                       {}};
  const ClosedAreas found = closed_areas(lines);
  EXPECT_EQ(found.areas.size(), 1U);
  EXPECT_TRUE(found.leaks.empty());
}

TEST(ClosedAreas, ABayWithoutALooseEndIsNoLeak) {
  // A bottle's outline, open at nothing: its neck is 2 wide, and the bay outside between two such
  // is too.
  const Linework lines{{line({{0.0, 0.0},
                              {20.0, 0.0},
                              {20.0, 20.0},
                              {11.0, 20.0},
                              {11.0, 12.0},
                              {15.0, 12.0},
                              {15.0, 4.0},
                              {5.0, 4.0},
                              {5.0, 12.0},
                              {9.0, 12.0},
                              {9.0, 20.0},
                              {0.0, 20.0},
                              {0.0, 0.0}},
                             true)},
                       {}};
  const ClosedAreas found = closed_areas(lines);
  EXPECT_EQ(found.areas.size(), 1U);
  EXPECT_TRUE(found.leaks.empty());
}

TEST(ClosedAreas, CrumbsGoToTheirNeighbour) {
  const Linework lines{{square({0.0, 0.0}, 20.0), square({10.0, 10.0}, 1.2)}, {}};
  const ClosedAreas found = closed_areas(lines);
  ASSERT_EQ(found.areas.size(), 1U);
  EXPECT_NEAR(found.areas[0].size_mm2, 400.0, 3.0);
}

TEST(ClosedAreas, OpenLinesAndDotsCloseNothing) {
  const Linework lines{
      {line({{0.0, 0.0}, {15.0, 9.0}, {30.0, 0.0}}), {Path{{{8.0, 15.0}}, false}, 0.8}}, {}};
  const ClosedAreas found = closed_areas(lines);
  EXPECT_TRUE(found.areas.empty());
  EXPECT_TRUE(found.leaks.empty());
}

TEST(LabelBorders, EveryCellIsInsideItsOwnBorderOnly) {
  // 4 x 3: an L, an island, a corner that only touches.
  const std::vector<int> labels = {0,
                                   0,
                                   0,
                                   0,  //
                                   0,
                                   1,
                                   2,
                                   0,  //
                                   0,
                                   2,
                                   1,
                                   0};
  double all = 0.0;
  for (const LabelBorder& border : label_borders(labels, 4)) {
    EXPECT_NEAR(size_of(border.rings), border.cells, 1e-12) << border.label;
    all += border.cells;
    for (int i = 0; i < 12; ++i) {
      const Vec2 middle{i % 4 + 0.5, i / 4 + 0.5};
      EXPECT_EQ(inside(border.rings, middle), labels[static_cast<std::size_t>(i)] == border.label)
          << i;
    }
  }
  EXPECT_EQ(all, 12.0);
}

}  // namespace
}  // namespace underdraw
