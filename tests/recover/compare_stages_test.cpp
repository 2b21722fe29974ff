// Source: own construction, no outside source.
#include "recover/compare_stages.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

PlacedFace band_of(int count) {
  PlacedFace face;
  face.face = {"wall", CylinderFace{360.0, 80.0}, {}};  // a millimetre a degree
  face.surface = surface_of(face.face);
  for (int i = 0; i < count; ++i) {
    Placement p;
    p.id = i + 1;
    p.at = {30.0 * i, 40.0};
    face.placements.push_back(p);
  }
  return face;
}

FoundPlacement found_at(int id, Vec2 shift, double turn_deg = 0.0) {
  FoundPlacement out;
  out.id = id;
  out.finding = Finding::found;
  out.shift = shift;
  out.turn_deg = turn_deg;
  return out;
}

TEST(CompareStages, TellsThePiecesTurnFromHandsThatSlipped) {
  const PlacedFace face = band_of(4);
  const std::vector<FoundPlacement> turned = {found_at(1, {3.4, 0.1}),
                                              found_at(2, {3.1, -0.4}),
                                              found_at(3, {3.2, 2.0}),
                                              found_at(4, {9, 0})};
  const std::optional<double> turn = turn_of_piece_deg(turned, face);
  ASSERT_TRUE(turn);
  EXPECT_NEAR(*turn, 3.4, 0.31);
  const std::vector<FoundPlacement> astray = {
      found_at(1, {-6, 0}), found_at(2, {6, 0}), found_at(3, {-5, 0}), found_at(4, {5, 0})};
  EXPECT_FALSE(turn_of_piece_deg(astray, face));
  EXPECT_FALSE(turn_of_piece_deg({found_at(1, {3, 0})}, face));
  PlacedFace tile = face;
  tile.surface = surface_of({"tile", FlatFace{400, 80}, {}});
  EXPECT_FALSE(turn_of_piece_deg(turned, tile));
}

TEST(CompareStages, TurnsLinesAndFindingsTogether) {
  const PlacedFace face = band_of(2);
  RecoveredLines lines;
  lines.face.strokes.push_back({1, 1.0, {}, {{1.0, 10.0}, {3.0, 12.0}}});
  lines.placements = {found_at(1, {3.0, 1.0})};
  lines.seen.points = {{{1.0, 10.0}, {1.0, 0.0}}};
  const RecoveredLines turned = turned_round(lines, face, -3.0);
  EXPECT_NEAR(turned.placements[0].shift.x, 0.0, 1e-9);
  EXPECT_EQ(turned.placements[0].shift.y, 1.0);
  EXPECT_NEAR(turned.face.strokes[0].points[0].x, 358.0, 1e-9);
  EXPECT_NEAR(turned.face.strokes[0].points[1].x, 360.0, 1e-9);
  EXPECT_NEAR(turned.seen.points[0].at.across, 358.0, 1e-9);
}

TEST(CompareStages, SaysWhatIsCoveredAndHowFarOffARedrawIs) {
  FoundPlacement gone = found_at(2, {});
  gone.finding = Finding::no_match;
  FoundPlacement unseen = found_at(3, {});
  unseen.finding = Finding::not_seen;
  const std::vector<PlacementChange> changes = compare_stages(
      {found_at(1, {0.2, 0.1}), found_at(2, {}), found_at(3, {}), found_at(4, {0.1, 0.2}, 1.0)},
      {found_at(1, {0.4, 0.3}), gone, unseen, found_at(4, {-1.4, 2.3}, 6.0)});
  ASSERT_EQ(changes.size(), 4U);
  EXPECT_EQ(changes[0].now, Now::shows);
  EXPECT_EQ(words_for(changes[0]), "");
  EXPECT_EQ(changes[1].now, Now::covered);
  EXPECT_EQ(words_for(changes[1]), "");
  EXPECT_EQ(changes[2].now, Now::not_seen);
  EXPECT_EQ(words_for(changes[3]),
            "number 4 is 2.1 mm low and 1.5 mm too far left and turned 5° clockwise");
  // What was not found before cannot be compared.
  EXPECT_TRUE(compare_stages({gone}, {found_at(2, {})}).empty());
}

TEST(CompareStages, TellsCoveredStretchesOfOneStroke) {
  const PlacedFace face = band_of(0);
  RecoveredStroke ring{std::nullopt, 1.0, {}, {}};
  SeenLines after;
  for (double a = 340.0; a <= 440.0; a += 0.5) {
    ring.points.push_back({a, 40.0});
    // Still there from 360 to 400, but for a place that another line crosses.
    if (a >= 360.0 && a <= 400.0 && std::abs(a - 380.0) > 1.0) {
      after.points.push_back({{wrapped_deg(a), 40.3}, {1.0, 0.0}});
    }
    // A line across is no line of the ring.
    after.points.push_back({{wrapped_deg(350.0), 40.0 + (a - 390.0) / 10.0}, {0.0, 1.0}});
  }
  const auto covered = covered_points({ring}, face.surface, after);
  ASSERT_EQ(covered.size(), 1U);
  ASSERT_EQ(covered[0].size(), ring.points.size());
  for (std::size_t i = 0; i < ring.points.size(); ++i) {
    const double a = ring.points[i].x;
    // An end of a line reaches as far as a line may be off.
    if (std::abs(a - 360.0) < 2.0 || std::abs(a - 400.0) < 2.0) continue;
    EXPECT_EQ(covered[0][i], a < 360.0 || a > 400.0) << a;
  }
}

}  // namespace
}  // namespace underdraw
