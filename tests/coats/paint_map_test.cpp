// Areas of a whole piece. Sizes known from plane geometry; sums from the face's own area.
#include "coats/paint_map.h"

#include <cmath>
#include <map>
#include <numbers>

#include <gtest/gtest.h>

#include "coats/coat_plan.h"
#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

Stroke line(const std::vector<Vec2>& corners, bool closed = false) {
  return {Path::polyline(corners, closed), 0.4};
}

// A buoy: a square of 20 with a line across its middle; two areas of 2 cm2.
Motif buoy() {
  return make_motif(
      "buoy",
      {{line({{0, 0}, {20, 0}, {20, 20}, {0, 20}, {0, 0}}, true), line({{0, 10}, {20, 10}})}, {}});
}

// A pebble: a circle of radius 12.
Motif pebble() {
  std::vector<Vec2> ring;
  for (int i = 0; i <= 120; ++i) {
    ring.push_back(Vec2{std::cos(radians(3.0 * i)), std::sin(radians(3.0 * i))} * 12.0);
  }
  return make_motif("pebble", {{line(ring, true)}, {}});
}

Arrangement band(const std::string& motif, int count, double height, double at) {
  Arrangement asked;
  asked.face = "wall";
  asked.motifs = {motif};
  asked.heights_mm = {height};
  asked.count = count;
  asked.at_mm = at;
  return asked;
}

Clay fired() { return {{0.0, 0.0, 0.0}, ClayStage::glazed, ClayStage::glazed}; }

Arranged arranged(const Face& face, const std::vector<Arrangement>& asked) {
  return arrange({face}, asked, {buoy(), pebble()}, fired());
}

Colour colour(const std::string& name, const std::vector<std::string>& on) {
  Colour out;
  out.name = name;
  out.on = on;
  return out;
}

double sum_cm2(const PaintedFace& face) {
  double sum = face.kept_free_cm2;
  for (const PaintArea& area : face.areas) sum += area.size_cm2;
  return sum;
}

const PaintArea& area_named(const PaintedFace& face, const std::string& name) {
  for (const PaintArea& area : face.areas) {
    if (area.name == name) return area;
  }
  ADD_FAILURE() << "no area " << name;
  return face.areas.front();
}

const Face kWall{"wall", CylinderFace{320.0, 90.0}, {{80.0, 100.0, 70.0, 85.0, "handle"}}};
const Face kBelly{"wall", TurnedFace{{{0, 310}, {40, 372}, {95, 300}}}, {}};

TEST(PaintMap, EveryAreaHasItsSizeAndNothingIsLeftOut) {
  const Arranged made = arranged(kWall, {band("buoy", 6, 20.4, 40.0)});
  const PaintMap map = paint_map(made.faces, made.motifs, {});
  ASSERT_EQ(map.faces.size(), 1U);
  const PaintedFace& wall = map.faces[0];
  ASSERT_EQ(wall.areas.size(), 1U + 6U * 2U);
  for (std::size_t i = 1; i < wall.areas.size(); ++i) {
    EXPECT_NEAR(wall.areas[i].size_cm2, 2.0, 0.02) << wall.areas[i].name;
  }
  EXPECT_EQ(wall.areas[1].name, "1a");
  EXPECT_EQ(wall.areas[12].name, "6b");
  EXPECT_NEAR(wall.size_cm2, 320.0 * 90.0 / 100.0, 1e-6);
  EXPECT_NEAR(wall.kept_free_cm2, 320.0 * 20.0 / 360.0 * 15.0 / 100.0, 1e-6);
  EXPECT_NEAR(sum_cm2(wall), wall.size_cm2, 1e-9);
}

TEST(PaintMap, OnABellySizesAreThoseOfTheSurface) {
  // As large as on paper, but for what paper is strained by when it lies there.
  const Arranged made = arranged(kBelly, {band("pebble", 5, 24.4, 45.0)});
  const PaintMap map = paint_map(made.faces, made.motifs, {});
  for (std::size_t i = 1; i < map.faces[0].areas.size(); ++i) {
    EXPECT_NEAR(map.faces[0].areas[i].size_cm2, kPi * 1.44, 0.01 * kPi * 1.44);
  }
  EXPECT_NEAR(sum_cm2(map.faces[0]), map.faces[0].size_cm2, 1e-9);
}

TEST(PaintMap, AGapIsTakenOffEveryEdge) {
  const Arranged made = arranged(kWall, {band("buoy", 6, 20.4, 40.0)});
  const PaintMap map = paint_map(made.faces, made.motifs, {}, {.gap_mm = 0.4});
  // 20 x 10, less 0.2 along 60 mm of edge.
  EXPECT_NEAR(area_named(map.faces[0], "1a").size_cm2, 2.0 - 0.12, 0.02);
}

TEST(PaintMap, WhatLiesBehindKeepsWhatIsLeft) {
  Arrangement behind = band("pebble", 6, 24.4, 40.0);
  behind.behind = true;
  behind.cut_gap_mm = 0.0;
  const Arranged made = arranged(kWall, {band("buoy", 6, 20.4, 40.0), behind});
  const PaintMap map = paint_map(made.faces, made.motifs, {});
  const PaintedFace& wall = map.faces[0];
  int behind_areas = 0;
  for (const PaintArea& area : wall.areas) {
    if (!area.behind) continue;
    ++behind_areas;
    EXPECT_EQ(area.motif, "pebble");
    // A circle of 12 less a square of 20.4 about its middle: four caps of the circle.
    const double half = 10.2;
    const double angle = std::acos(half / 12.0);
    const double cap = 144.0 * angle - half * std::sqrt(144.0 - half * half);
    EXPECT_NEAR(area.size_cm2, 4.0 * cap / 100.0, 0.06) << area.name;
  }
  EXPECT_EQ(behind_areas, 6);
  EXPECT_NEAR(sum_cm2(wall), wall.size_cm2, 1e-9);
}

TEST(PaintMap, TheClosestNameGivesTheColour) {
  const std::vector<Colour> colours = {
      colour("slate", {"wall"}), colour("rust", {"buoy"}), colour("chalk", {"buoy b"})};
  EXPECT_EQ(colour_of(colours, "wall", "", ""), 0U);
  EXPECT_EQ(colour_of(colours, "wall", "pebble", "a"), 0U);
  EXPECT_EQ(colour_of(colours, "wall", "buoy", "a"), 1U);
  EXPECT_EQ(colour_of(colours, "wall", "buoy", "b"), 2U);
  EXPECT_EQ(colour_of(colours, "lid", "pebble", "a"), std::nullopt);
}

TEST(PaintMap, AreasOfOneColourInADrawingAreOnePart) {
  const Arranged made = arranged(kWall, {band("buoy", 2, 20.4, 40.0)});
  const auto names = [&](const std::vector<Colour>& colours) {
    const PaintMap map = paint_map(made.faces, made.motifs, colours);
    std::string text;
    for (const PaintPart& part : parts_of(map.faces[0])) text += part.name + " ";
    return text;
  };
  EXPECT_EQ(names({}), "ground 1 2 ");
  EXPECT_EQ(names({colour("rust", {"buoy"})}), "ground 1 2 ");
  EXPECT_EQ(names({colour("rust", {"buoy a"})}), "ground 1a 1b 2a 2b ");
}

TEST(PaintMap, AnAreaThatIsNotThereIsRefused) {
  const Arranged made = arranged(kWall, {band("buoy", 6, 20.4, 40.0)});
  try {
    paint_map(made.faces, made.motifs, {colour("rust", {"buoy c"})});
    FAIL();
  } catch (const GeometryError& error) {
    EXPECT_EQ(error.complaint().found, "'buoy' has no area c");
    EXPECT_EQ(error.complaint().expected, "a to b");
  }
}

TEST(PaintMap, PartsWithoutAColourAreTold) {
  const Arranged made = arranged(kWall, {band("buoy", 6, 20.4, 40.0)});
  const PaintMap map = paint_map(made.faces, made.motifs, {colour("rust", {"buoy"})});
  ASSERT_EQ(map.warnings.size(), 1U);
  EXPECT_NE(map.warnings[0].find("parts of wall have no colour"), std::string::npos);
}

TEST(CoatPlan, AmountsAreAreaTimesCoatsTimesCoverage) {
  const Arranged made = arranged(kWall, {band("buoy", 6, 20.4, 40.0)});
  Colour thin = colour("rust", {"buoy"});
  thin.kind = ColourKind::thin;
  thin.coats = 4;
  const PaintMap map = paint_map(made.faces, made.motifs, {colour("slate", {"wall"}), thin});
  const CoatPlan plan = coat_plan(map, made.faces);
  ASSERT_EQ(plan.amounts.size(), 2U);
  // 12 areas of 2 cm2, four coats, 200 ml for a square metre and coat.
  EXPECT_NEAR(plan.amounts[1].ml, 24.0 * 4.0 * 200.0 / 1e4, 0.02);
  EXPECT_NEAR(plan.amounts[1].low_ml, 0.7 * plan.amounts[1].ml, 1e-9);
  EXPECT_EQ(plan.amounts[1].parts, 6U);
  EXPECT_EQ(plan.amounts[0].parts, 1U);
  EXPECT_NEAR(plan.amounts[0].ml, map.faces[0].areas[0].size_cm2 * 3.0 * 200.0 / 1e4, 1e-9);
}

// Goes through the work by the clock and sees to it that nothing wet is held or painted over.
void expect_dry(const CoatPlan& plan) {
  std::map<std::pair<std::string, int>, double> dry;
  double now = 0.0;
  for (const CoatStep& step : plan.steps) {
    const CoatTurn& turn = plan.turns[step.turn];
    EXPECT_NEAR(step.start_min, now, 1e-9);
    now += step.waiting_min + step.painting_min;
    for (const CoatStop& stop : turn.stops) {
      // At the end of the step at the latest, everything that was painted before it is dry.
      const double until = dry[{stop.face, stop.side.value_or(0)}];
      EXPECT_LE(until, now);
    }
    for (const CoatStop& stop : turn.stops) {
      dry[{stop.face, stop.side.value_or(0)}] = now - step.painting_min + 30.0;
    }
  }
  EXPECT_NEAR(plan.total_min, now, 1e-9);
}

TEST(CoatPlan, AHandOnTheFarSideCostsTwoWaitsACoatAndATurntableOne) {
  const Arranged made = arranged(kWall, {});
  for (const Hold hold : {Hold::opposite, Hold::none}) {
    const PaintMap map =
        paint_map(made.faces, made.motifs, {colour("slate", {"wall"})}, {.hold = hold});
    const CoatPlan plan = coat_plan(map, made.faces);
    ASSERT_EQ(plan.turns.size(), 1U);
    ASSERT_EQ(plan.turns[0].stops.size(), 4U);
    ASSERT_EQ(plan.steps.size(), 3U);
    // A side takes the same time each: t. Held: sides 0 and 1, wait until 0 is dry, sides 2 and 3.
    const double t = plan.steps[0].painting_min / 4.0;
    const double dry = 30.0;
    if (hold == Hold::opposite) {
      EXPECT_NEAR(plan.steps[0].waiting_min, dry - t, 1e-9);
      EXPECT_NEAR(plan.steps[1].waiting_min, 2.0 * (dry - t), 1e-9);
    } else {
      EXPECT_NEAR(plan.steps[0].waiting_min, 0.0, 1e-9);
      EXPECT_NEAR(plan.steps[1].waiting_min, std::max(0.0, dry - 3.0 * t), 1e-9);
    }
    expect_dry(plan);
  }
}

TEST(CoatPlan, EdgeToEdgeLaysEveryFirstCoatBeforeAnySecond) {
  const Arranged made = arranged(kWall, {band("buoy", 6, 20.4, 40.0)});
  const std::vector<Colour> colours = {colour("slate", {"wall"}), colour("rust", {"buoy"})};
  const auto order = [&](PaintOrder asked) {
    const PaintMap map = paint_map(made.faces, made.motifs, colours, {.order = asked});
    std::string text;
    for (const CoatStep& step : coat_plan(map, made.faces).steps) {
      text += std::to_string(step.turn) + std::to_string(step.coat) + " ";
    }
    return text;
  };
  EXPECT_EQ(order(PaintOrder::ground_first), "01 02 03 11 12 13 ");
  EXPECT_EQ(order(PaintOrder::edge_to_edge), "01 11 02 12 03 13 ");
}

TEST(CoatPlan, EveryPartIsOnTheRouteOnceAndSidesFollowEachOther) {
  const Arranged made = arranged(kWall, {band("buoy", 7, 20.4, 40.0)});
  const PaintMap map = paint_map(made.faces, made.motifs, {});
  const CoatPlan plan = coat_plan(map, made.faces);
  ASSERT_EQ(plan.turns.size(), 2U);
  EXPECT_TRUE(plan.turns[0].ground);
  std::map<std::string, int> seen;
  int side = 0;
  for (const CoatStop& stop : plan.turns[1].stops) {
    EXPECT_GE(*stop.side, side);
    side = *stop.side;
    for (const std::string& part : stop.parts) ++seen[part];
  }
  EXPECT_EQ(seen.size(), 7U);
  for (const auto& [part, times] : seen) EXPECT_EQ(times, 1) << part;
}

}  // namespace
}  // namespace underdraw
