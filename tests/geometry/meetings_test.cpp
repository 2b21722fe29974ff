#include "geometry/meetings.h"

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

Linework strokes(const std::vector<std::vector<Vec2>>& courses, double width_mm = 0.4) {
  Linework lines;
  for (const auto& corners : courses) {
    lines.strokes.push_back({Path::polyline(corners), width_mm, {}});
  }
  return lines;
}

TEST(LineEnds, TwoStrokesThatCrossMeetOnceWithFourArms) {
  const LineEnds found = find_line_ends(strokes({{{0, 0}, {10, 10}}, {{0, 10}, {10, 0}}}));
  ASSERT_EQ(found.meetings.size(), 1U);
  EXPECT_LT(distance(found.meetings[0].at, {5, 5}), 1e-6);
  EXPECT_EQ(found.meetings[0].arms, 4);
  EXPECT_EQ(found.loose.size(), 4U);
}

TEST(LineEnds, AnEndOnALineMakesThreeArmsEvenFromItsEdge) {
  for (const double gap : {0.0, 0.1, 0.3}) {
    const LineEnds found = find_line_ends(strokes({{{0, 0}, {10, 0}}, {{5, gap}, {5, 8}}}));
    ASSERT_EQ(found.meetings.size(), 1U) << gap;
    EXPECT_EQ(found.meetings[0].arms, 3) << gap;
    EXPECT_EQ(found.loose.size(), 3U) << gap;
  }
  EXPECT_TRUE(find_line_ends(strokes({{{0, 0}, {10, 0}}, {{5, 0.5}, {5, 8}}})).meetings.empty());
}

TEST(LineEnds, ThreeEndsTogetherAreOneMeeting) {
  const LineEnds found =
      find_line_ends(strokes({{{0, 0}, {5, 5}}, {{10, 0}, {5, 5}}, {{5, 12}, {5, 5.05}}}));
  ASSERT_EQ(found.meetings.size(), 1U);
  EXPECT_EQ(found.meetings[0].arms, 3);
  EXPECT_EQ(found.loose.size(), 3U);
}

TEST(LineEnds, AnEndThatRunsOnIntoAnotherHasTwoArmsAndIsNotLoose) {
  const LineEnds found = find_line_ends(strokes({{{0, 0}, {5, 0}}, {{5, 0}, {9, 2}}}));
  ASSERT_EQ(found.meetings.size(), 1U);
  EXPECT_EQ(found.meetings[0].arms, 2);
  EXPECT_EQ(found.loose.size(), 2U);
}

TEST(LineEnds, ALoopCrossesItself) {
  const LineEnds found = find_line_ends(strokes({{{0, 0}, {10, 10}, {10, 0}, {0, 10}}}));
  ASSERT_EQ(found.meetings.size(), 1U);
  EXPECT_EQ(found.meetings[0].arms, 4);
}

TEST(LineEnds, RingsAndDotsHaveNoEndAndAreasAreMet) {
  Linework lines = strokes({{{10, 5}, {20, 5}}});
  lines.areas.push_back({{Path::polyline({{0, 0}, {10, 0}, {10, 10}, {0, 10}}, true)}});
  lines.strokes.push_back({Path::polyline({{30, 0}, {40, 0}, {35, 8}}, true), 0.4, {}});
  lines.strokes.push_back({Path{{{50, 5}}, false}, 0.6, {}});
  const LineEnds found = find_line_ends(lines);
  ASSERT_EQ(found.meetings.size(), 1U);
  EXPECT_EQ(found.meetings[0].arms, 3);
  ASSERT_EQ(found.loose.size(), 1U);
  EXPECT_LT(distance(found.loose[0], {20, 5}), 1e-9);
}

TEST(LineEnds, NothingIsFoundInNothing) {
  EXPECT_TRUE(find_line_ends({}).meetings.empty());
  EXPECT_THROW(find_line_ends({}, {.reach_mm = -1.0}), OptionError);
}

}  // namespace
}  // namespace underdraw
