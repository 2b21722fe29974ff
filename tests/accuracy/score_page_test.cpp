// Checked on lines whose faults are put in by hand, so what the scores must say is known.
#include "accuracy/score_page.h"

#include <cmath>

#include <gtest/gtest.h>

namespace underdraw::test {
namespace {

Stroke stroke(const std::vector<Vec2>& corners, bool closed = false) {
  return {Path::polyline(corners, closed), 0.5};
}

Stroke dot_at(Vec2 at) {
  Stroke out;
  out.path.points = {at};
  return out;
}

// A quarter or so of a circle with the usual control points: within 0.03 % of the radius.
Stroke arc(Vec2 middle, double radius, double from_deg, double to_deg) {
  Path path;
  const int n = static_cast<int>(std::ceil(std::abs(to_deg - from_deg) / 90.0 - 1e-9));
  const double step = radians(to_deg - from_deg) / n;
  const double k = 4.0 / 3.0 * std::tan(step / 4.0) * radius;
  for (int i = 0; i < n; ++i) {
    const double a = radians(from_deg) + i * step;
    const double b = a + step;
    const Vec2 ra{std::cos(a), std::sin(a)};
    const Vec2 rb{std::cos(b), std::sin(b)};
    path.append({middle + radius * ra,
                 middle + radius * ra + k * perpendicular(ra),
                 middle + radius * rb - k * perpendicular(rb),
                 middle + radius * rb});
  }
  path.closed = std::abs(std::abs(to_deg - from_deg) - 360.0) < 1e-9;
  if (path.closed) path.points.back() = path.points.front();
  return {path, 0.5};
}

Linework cross_lines() { return {{stroke({{0, 0}, {20, 0}}), stroke({{10, -10}, {10, 10}})}, {}}; }

// Crossings, T and Y meetings, a tiny loop, a ring, a corner, near-parallel lines, dots.
Linework motif() {
  Linework out = cross_lines();
  out.strokes.push_back(stroke({{4, 0}, {4, 8}}));             // T on the first
  out.strokes.push_back(stroke({{30, 0}, {30, 8}, {36, 8}}));  // corner
  out.strokes.push_back(stroke({{40, 0}, {40, 8}}));           // Y of three
  out.strokes.push_back(stroke({{40, 0}, {44, -6}}));
  out.strokes.push_back(stroke({{40, 0}, {36, -6}}));
  out.strokes.push_back(stroke({{0, 15}, {20, 15}}));  // 0.5 mm apart
  out.strokes.push_back(stroke({{0, 15.5}, {20, 15.5}}));
  out.strokes.push_back(arc({30, 20}, 3.0, 0.0, 360.0));
  out.strokes.push_back(arc({45, 20}, 0.5, 90.0, 380.0));
  out.strokes.push_back(arc({50, 0}, 8.0, 20.0, 160.0));
  out.strokes.push_back(dot_at({5, 25}));
  out.strokes.push_back(dot_at({8, 25}));
  return out;
}

int count(const PageScore& score, FaultKind kind) {
  int n = 0;
  for (const Fault& fault : score.faults) n += fault.kind == kind ? 1 : 0;
  return n;
}

void expect_perfect(const PageScore& s) {
  EXPECT_EQ(s.recall, 1.0);
  EXPECT_EQ(s.precision, 1.0);
  EXPECT_LT(s.rms_all_mm, 3e-4);  // samples are joined by straight chords
  EXPECT_LT(s.rms_away_mm, 3e-4);
  EXPECT_EQ(s.junctions_found, s.junctions);
  EXPECT_EQ(s.junctions_false, 0);
  EXPECT_EQ(s.crossings_split, 0);
  EXPECT_EQ(s.crossings_uncut, s.crossings);
  EXPECT_EQ(s.spurs, 0);
  EXPECT_EQ(s.gaps, 0);
  EXPECT_EQ(s.dots_found, s.dots);
  EXPECT_EQ(s.dots_false, 0);
  EXPECT_LT(s.tangent_rms_deg, 0.01);
  EXPECT_LT(s.width_error_mm, 1e-9);
  EXPECT_EQ(s.line_ratio(), 1.0);
  EXPECT_TRUE(s.faults.empty());
}

TEST(ScorePage, GivesPerfectScoresToTheDrawnLinesThemselves) {
  const PageScore s = score_page(motif(), motif());
  expect_perfect(s);
  EXPECT_EQ(s.junctions, 3);
  EXPECT_EQ(s.crossings, 1);
  EXPECT_EQ(s.dots, 2);
}

TEST(ScorePage, GivesPerfectScoresWhereverTheDrawingLies) {
  for (const double turn : {7.0, 45.0, 133.0}) {
    const Linework turned =
        transformed(motif(), Affine::translate({100, 90}) * Affine::turn_deg(turn));
    const PageScore s = score_page(turned, turned);
    expect_perfect(s);
    EXPECT_EQ(s.junctions, 3);
  }
}

TEST(ScorePage, DoesNotCareAboutTheDirectionOfTravel) {
  Linework back = motif();
  for (Stroke& s : back.strokes) s.path = reversed(s.path);
  expect_perfect(score_page(back, motif()));
}

TEST(ScorePage, GivesTheShiftOfAShiftedLineAsItsError) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}})}, {}};
  const Linework traced{{stroke({{0, 0.04}, {40, 0.04}})}, {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_NEAR(s.rms_all_mm, 0.04, 1e-6);
  EXPECT_NEAR(s.rms_away_mm, 0.04, 1e-6);
  EXPECT_NEAR(s.tangent_rms_deg, 0.0, 1e-6);
  EXPECT_EQ(s.recall, 1.0);
}

TEST(ScorePage, CountsWhatIsFurtherOffThanTheReachAsMissedAndFalse) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}}), stroke({{0, 20}, {40, 20}})}, {}};
  const Linework traced{{stroke({{0, 0.16}, {40, 0.16}}), stroke({{0, 20}, {40, 20}})}, {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_NEAR(s.recall, 0.5, 1e-3);
  EXPECT_NEAR(s.precision, 0.5, 1e-3);
  EXPECT_NEAR(s.rms_all_mm, 0.0, 1e-6);
}

TEST(ScorePage, GivesTheTurnOfATurnedLineAsItsTangentError) {
  const Linework drawn{{stroke({{-5, 0}, {5, 0}})}, {}};
  const double a = radians(1.5);
  const Linework traced{
      {stroke({{-5 * std::cos(a), -5 * std::sin(a)}, {5 * std::cos(a), 5 * std::sin(a)}})}, {}};
  EXPECT_NEAR(score_page(traced, drawn).tangent_rms_deg, 1.5, 0.01);
}

TEST(ScorePage, CountsACrossingDrawnAsTwoForksAsSplitAndCut) {
  const Linework traced{{stroke({{0, 0}, {9.8, 0}, {10, -0.2}, {10, -10}}),
                         stroke({{20, 0}, {10.2, 0}, {10, 0.2}, {10, 10}}),
                         stroke({{9.8, 0}, {10.2, 0}})},
                        {}};
  const PageScore s = score_page(traced, cross_lines());
  EXPECT_EQ(s.crossings, 1);
  EXPECT_EQ(s.crossings_split, 1);
  EXPECT_EQ(s.crossings_uncut, 0);
  EXPECT_EQ(s.junctions_found, 0);
  EXPECT_EQ(s.gaps, 0);
  EXPECT_EQ(s.spurs, 0);
}

TEST(ScorePage, CountsAStrokeWhoseHalvesMissEachOtherAsSplit) {
  const Linework traced{
      {stroke({{0, 0}, {20, 0}}), stroke({{9.8, -10}, {9.8, 0}}), stroke({{10.2, 0}, {10.2, 10}})},
      {}};
  const PageScore s = score_page(traced, cross_lines());
  EXPECT_EQ(s.crossings_split, 1);
  EXPECT_EQ(s.crossings_uncut, 0);
  EXPECT_EQ(s.gaps, 0);
}

TEST(ScorePage, FindsACrossingWhoseStrokesAreCutButCountsThemAsCut) {
  const Linework traced{{stroke({{0, 0}, {9.95, 0}}),
                         stroke({{10.05, 0}, {20, 0}}),
                         stroke({{10, -10}, {10, -0.05}}),
                         stroke({{10, 0.05}, {10, 10}})},
                        {}};
  const PageScore s = score_page(traced, cross_lines());
  EXPECT_EQ(s.junctions_found, 1);
  EXPECT_EQ(s.crossings_split, 0);
  EXPECT_EQ(s.crossings_uncut, 0);
  EXPECT_EQ(s.gaps, 0);
}

TEST(ScorePage, CountsStrokesThatBounceOffEachOtherAsCut) {
  const Linework traced{
      {stroke({{0, 0}, {10, 0}, {10, -10}}), stroke({{20, 0}, {10, 0}, {10, 10}})}, {}};
  const PageScore s = score_page(traced, cross_lines());
  EXPECT_EQ(s.junctions_found, 1);
  EXPECT_EQ(s.crossings_uncut, 0);
}

TEST(ScorePage, MissesAJunctionThatIsOutOfPlaceOrLacksAnArm) {
  const Linework drawn{{stroke({{0, 0}, {20, 0}}), stroke({{10, 0}, {10, 10}})}, {}};
  const Linework shifted{{stroke({{0, 0}, {20, 0}}), stroke({{10.4, 0}, {10.4, 10}})}, {}};
  const Linework short_of{{stroke({{0, 0}, {20, 0}}), stroke({{10, 0.6}, {10, 10}})}, {}};
  const Linework near{{stroke({{0, 0}, {20, 0}}), stroke({{10.2, 0.25}, {10.2, 10}})}, {}};
  EXPECT_EQ(score_page(shifted, drawn).junctions_found, 0);
  EXPECT_EQ(score_page(short_of, drawn).junctions_found, 0);
  EXPECT_EQ(score_page(near, drawn).junctions_found, 1);
}

TEST(ScorePage, TakesAnEndThatOvershootsALineForAT) {
  const Linework drawn{{stroke({{0, 0}, {20, 0}}), stroke({{10, 0}, {10, 10}})}, {}};
  const Linework past{{stroke({{0, 0}, {20, 0}}), stroke({{10, -0.2}, {10, 10}})}, {}};
  const PageScore s = score_page(past, drawn);
  EXPECT_EQ(s.junctions, 1);
  EXPECT_EQ(s.junctions_found, 1);
  EXPECT_EQ(s.spurs, 0);
}

TEST(ScorePage, CountsAHairAsASpur) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}})}, {}};
  Linework traced = drawn;
  traced.strokes.push_back(stroke({{10, 0}, {10.2, 0.5}}));
  traced.strokes.push_back(stroke({{20, 0}, {20, -0.3}}));
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.spurs, 2);
  EXPECT_NEAR(s.spurs_per_m(), 50.0, 1e-6);
  EXPECT_EQ(s.gaps, 0);
}

TEST(ScorePage, CountsAHookAtAnEndAsASpurAndALineThatRunsOnAsNone) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}})}, {}};
  const Linework hook{{stroke({{0, 0}, {40, 0}, {40.1, 0.6}})}, {}};
  const Linework past{{stroke({{-0.4, 0}, {40.4, 0}})}, {}};
  EXPECT_EQ(score_page(hook, drawn).spurs, 1);
  EXPECT_EQ(score_page(past, drawn).spurs, 0);
}

TEST(ScorePage, AllowsAnEndToStrayOnItsWayToALineThatItMeets) {
  const Linework drawn{{stroke({{0, 0}, {20, 0}}), stroke({{10, 0}, {10, 10}})}, {}};
  const Linework traced{{stroke({{0, 0}, {20, 0}}), stroke({{9.75, 0.18}, {10, 0.4}, {10, 10}})},
                        {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.spurs, 0);
  EXPECT_EQ(s.junctions_found, 1);
}

TEST(ScorePage, CountsACrumbAndADoubledStretchAsSpurs) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}})}, {}};
  Linework traced = drawn;
  traced.strokes.push_back(stroke({{10, 3}, {11, 3}}));        // a crumb
  traced.strokes.push_back(stroke({{20, 0.1}, {21.5, 0.1}}));  // beside the line
  traced.strokes.push_back(stroke({{0, 10}, {20, 10}}));       // a long false line is none
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.spurs, 2);
  EXPECT_LT(s.precision, 0.7);
}

TEST(ScorePage, CountsAGapOnceHoweverWideItIs) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}})}, {}};
  for (const double half : {0.08, 0.2, 0.5, 2.0}) {
    const Linework traced{{stroke({{0, 0}, {20 - half, 0}}), stroke({{20 + half, 0}, {40, 0}})},
                          {}};
    const PageScore s = score_page(traced, drawn);
    EXPECT_EQ(s.gaps, 1) << half;
    EXPECT_EQ(s.spurs, 0) << half;
    EXPECT_EQ(count(s, FaultKind::kGap), 1);
  }
}

TEST(ScorePage, CountsTwoLinesThatTakeOverFromEachOtherAsAGap) {
  const Linework drawn{{arc({0, 0}, 10.0, 0.0, 170.0)}, {}};
  const Linework touching{{arc({0, 0}, 10.0, 0.0, 80.0), arc({0, 0}, 10.0, 80.0, 170.0)}, {}};
  const Linework over{{arc({0, 0}, 10.0, 0.0, 85.0), arc({0, 0}, 10.0, 80.0, 170.0)}, {}};
  EXPECT_EQ(score_page(touching, drawn).gaps, 1);
  EXPECT_EQ(score_page(over, drawn).gaps, 1);
}

TEST(ScorePage, TakesATipTracedAsAForkForAFalseJunctionAndNotForAGap) {
  const Linework drawn{{stroke({{0, 0}, {3, 20}}), stroke({{0, 0}, {-3, 20}})}, {}};
  const Linework traced{{stroke({{0, 0}, {0, 1}, {3, 20}}), stroke({{0, 1}, {-3, 20}})}, {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.junctions, 0);
  EXPECT_EQ(s.junctions_false, 1);
  EXPECT_EQ(s.gaps, 0);
  EXPECT_EQ(s.spurs, 0);
}

TEST(ScorePage, TakesTwoLinesTracedAsOneForNoGap) {
  // Two lines that run 0.12 mm apart for 3 mm; the tracing has one of them there.
  const Linework drawn{
      {stroke({{0, 0}, {20, 0}}), stroke({{0, 5}, {8, 0.12}, {11, 0.12}, {20, 5}})}, {}};
  const Linework traced{
      {stroke({{0, 0}, {20, 0}}), stroke({{0, 5}, {8.1, 0}}), stroke({{10.9, 0}, {20, 5}})}, {}};
  EXPECT_EQ(score_page(traced, drawn).gaps, 0);
  const Linework apart{
      {stroke({{0, 0}, {20, 0}}), stroke({{0, 5}, {7.5, 0.4}}), stroke({{11.5, 0.4}, {20, 5}})},
      {}};
  EXPECT_LE(score_page(apart, drawn).gaps, 1);
}

TEST(ScorePage, AllowsAMeetingAtATangentToLieAlongTheLineALittle) {
  const Stroke stem = stroke({{0, 0}, {40, 0}});
  const auto leaf = [](double x) {
    Path path;
    path.append({{x, 0}, {x + 4, 0}, {x + 8, -1}, {x + 14, -6}});
    return Stroke{path, 0.5};
  };
  const Linework drawn{{stem, leaf(10.0)}, {}};
  EXPECT_EQ(score_page({{stem, leaf(10.7)}, {}}, drawn).junctions_found, 1);
  EXPECT_EQ(score_page({{stem, leaf(11.2)}, {}}, drawn).junctions_found, 0);
}

TEST(ScorePage, CountsNoGapAtEndsJunctionsOrTouchingCorners) {
  const Linework drawn{{stroke({{0, 0}, {20, 0}, {20, 20}}), stroke({{10, 0}, {10, 10}})}, {}};
  const Linework traced{{stroke({{0.6, 0}, {10, 0}}),
                         stroke({{10, 0}, {20, 0}}),
                         stroke({{20, 0}, {20, 19.5}}),
                         stroke({{10, 0}, {10, 9.7}})},
                        {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.gaps, 0);
  EXPECT_EQ(s.junctions_found, 1);
  EXPECT_LT(s.recall, 1.0);
}

TEST(ScorePage, DoesNotTakeALineThatStraysForAGap) {
  const Linework drawn{{stroke({{0, 0}, {20, 0}, {20, 20}})}, {}};
  const Linework rounded{{stroke({{0, 0}, {19.6, 0}, {20, 0.4}, {20, 20}})}, {}};
  const Linework strays{{stroke({{0, 0}, {9.8, 0}, {10, 0.2}, {10.2, 0}, {20, 0}, {20, 20}})}, {}};
  EXPECT_EQ(score_page(rounded, drawn).gaps, 0);
  EXPECT_EQ(score_page(strays, drawn).gaps, 0);
}

TEST(ScorePage, CountsARingThatIsNotClosedAsAGap) {
  const Linework drawn{{arc({0, 0}, 5.0, 0.0, 360.0)}, {}};
  const Linework open{{arc({0, 0}, 5.0, 40.0, 396.0)}, {}};
  const Linework elsewhere{{arc({0, 0}, 5.0, 77.0, 437.0)}, {}};
  const Linework halves{{arc({0, 0}, 5.0, 30.0, 210.0), arc({0, 0}, 5.0, 210.0, 390.0)}, {}};
  EXPECT_EQ(score_page(open, drawn).gaps, 1);
  EXPECT_EQ(score_page(elsewhere, drawn).gaps, 0);
  EXPECT_EQ(score_page(halves, drawn).gaps, 2);
}

TEST(ScorePage, DoesNotTakeAMissingLineForAGap) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}}), stroke({{0, 20}, {40, 20}})}, {}};
  const Linework traced{{stroke({{0, 0}, {40, 0}})}, {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.gaps, 0);
  EXPECT_NEAR(s.recall, 0.5, 1e-3);
}

TEST(ScorePage, TellsLinesHalfAMillimetreApartFromEachOther) {
  const Linework drawn{{stroke({{0, 0}, {20, 0}}), stroke({{0, 0.5}, {20, 0.5}})}, {}};
  const Linework one{{stroke({{0, 0}, {20, 0}})}, {}};
  const Linework between{{stroke({{0, 0.25}, {20, 0.25}})}, {}};
  EXPECT_NEAR(score_page(one, drawn).recall, 0.5, 1e-3);
  EXPECT_EQ(score_page(between, drawn).recall, 0.0);
}

TEST(ScorePage, SeesATinyLoopAsACrossingThatTheStrokeRunsThrough) {
  // In along x, round a loop of 1.2 mm, out along x again.
  Path path = Path::polyline({{0, 0}, {10, 0}});
  path.append({{10, 0}, {12, 0}, {11.2, -1.6}, {10, -1.6}});
  path.append({{10, -1.6}, {8.8, -1.6}, {8, 0}, {10, 0.6}});
  path.append({{10, 0.6}, {12, 1.0}, {15, 1}, {20, 1}});
  const Linework drawn{{{path, 0.3}}, {}};
  const PageScore s = score_page(drawn, drawn);
  EXPECT_EQ(s.crossings, 1);
  EXPECT_EQ(s.crossings_uncut, 1);
  EXPECT_EQ(s.junctions_found, 1);
}

TEST(ScorePage, FindsATangentialMeetingAndItsShallowCrossing) {
  const Stroke stem = stroke({{0, 0}, {40, 0}});
  Path leaves;
  leaves.append({{10, 0}, {14, 0}, {18, -1}, {24, -6}});
  const Linework drawn{{stem, {leaves, 0.5}, stroke({{25, -0.6}, {37, 0.6}})}, {}};
  const PageScore s = score_page(drawn, drawn);
  EXPECT_EQ(s.junctions, 2);
  EXPECT_EQ(s.junctions_found, 2);
  EXPECT_EQ(s.crossings, 1);
  EXPECT_EQ(s.crossings_uncut, 1);
}

TEST(ScorePage, CountsDotsThatAreFoundMissedAndFalse) {
  const Linework drawn{{dot_at({0, 0}), dot_at({5, 0}), dot_at({10, 0})}, {}};
  const Linework traced{{dot_at({0.1, 0}), dot_at({5.3, 0}), dot_at({0, 0.15})}, {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.dots, 3);
  EXPECT_EQ(s.dots_found, 1);
  EXPECT_EQ(s.dots_false, 2);
}

TEST(ScorePage, ComparesPenWidthsWhereTheyChangeAlongTheStroke) {
  Linework drawn{{stroke({{0, 0}, {40, 0}})}, {}};
  drawn.strokes[0].widths_mm = {0.3, 0.9};
  Linework traced = drawn;
  EXPECT_NEAR(score_page(traced, drawn).width_error_mm, 0.0, 1e-9);
  traced.strokes[0].path = reversed(traced.strokes[0].path);
  traced.strokes[0].widths_mm = {0.95, 0.35};
  EXPECT_NEAR(score_page(traced, drawn).width_error_mm, 0.05, 1e-6);
  traced.strokes[0].widths_mm = {};
  traced.strokes[0].width_mm = 0.6;
  // Mean distance of a ramp from its middle: a quarter of its range, a little less as the ends
  // are left out.
  EXPECT_NEAR(score_page(traced, drawn).width_error_mm, 0.15, 0.01);
}

TEST(ScorePage, CountsOutlinesOfAreasAsLines) {
  Linework drawn{{}, {{{Path::polyline({{0, 0}, {10, 0}, {10, 10}, {0, 10}}, true)}}}};
  EXPECT_EQ(score_page(drawn, drawn).recall, 1.0);
  EXPECT_EQ(score_page({}, drawn).recall, 0.0);
  // The ends of the two next sides are within reach of the one that was drawn.
  EXPECT_NEAR(score_page(drawn, {{stroke({{0, 0}, {10, 0}})}, {}}).precision, 10.3 / 40.0, 0.002);
}

TEST(ScorePage, CountsPiecesAgainstTheFewest) {
  const Linework drawn{{stroke({{0, 0}, {40, 0}})}, {}};
  const Linework traced{{stroke({{0, 0}, {10, 0}, {20, 0}, {40, 0}})}, {}};
  const PageScore s = score_page(traced, drawn);
  EXPECT_EQ(s.pieces, 3U);
  EXPECT_EQ(s.fewest_pieces, 1U);
}

TEST(ScorePage, TakesAnEmptyTracing) {
  const PageScore s = score_page({}, motif());
  EXPECT_EQ(s.recall, 0.0);
  EXPECT_EQ(s.junctions_found, 0);
  EXPECT_EQ(s.dots_found, 0);
  EXPECT_EQ(s.gaps, 0);
}

}  // namespace
}  // namespace underdraw::test
