// Drawings laid on a painted wall by an unsteady hand, read back from its picture. What was drawn
// is known exactly (tests/support/hand_drawn.h); the pictures are made by code that shares nothing
// with the reader. Bounds: the goals for recovered lines.
#include "recover/recover_lines.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <gtest/gtest.h>

#include "core/error.h"
#include "support/compare_faces.h"
#include "support/hand_drawn.h"
#include "support/harbour_motifs.h"
#include "support/laid_out_face.h"

namespace underdraw {
namespace {

// A band round a waisted wall: all six motifs, every other one mirrored, one across the seam.
Arranged jar() {
  const Face wall{"wall", TurnedFace{{{0, 330}, {25, 385}, {50, 360}}}, {}};
  Arrangement band;
  band.face = "wall";
  band.motifs = {"thistle", "kelp", "scallop", "sea-pink", "feather", "knot"};
  band.mirror = Mirroring::alternate;
  band.heights_mm = {30.0};
  band.gap_mm = 6.0;
  return arrange({wall}, {band}, test::harbour_motifs(), {{6.0, 1.0, 5.5}});
}

struct Jar {
  Arranged arranged = jar();
  test::Coat coat;
  test::LaidOut how{.px_per_mm = 9.0};

  const PlacedFace& wall() const { return arranged.faces.front(); }
  Unrolled face_with(const std::vector<test::FaceLine>& lines) const {
    return test::laid_out(wall().surface, test::FaceTexture(wall().surface, lines, coat), how);
  }
  RecoveredLines recovered(const Unrolled& face) const {
    return recover_lines(face, wall(), arranged.motifs);
  }
};

std::size_t count(const RecoveredLines& lines, Finding finding) {
  return static_cast<std::size_t>(
      std::count_if(lines.placements.begin(), lines.placements.end(), [&](const auto& p) {
        return p.finding == finding;
      }));
}

TEST(RecoverLines, AgreesWithWhatAnUnsteadyHandDrew) {
  Jar jar;
  jar.coat.mottle = 0.16;
  test::Hand hand{.shift_mm = 4.0, .turn_deg = 4.0, .wobble_mm = 0.4, .look = {}, .seed = 2};
  hand.look.strength = 0.5;
  const test::HandDrawn drawn = test::draw_by_hand(jar.wall(), jar.arranged.motifs, hand);
  const RecoveredLines found = jar.recovered(jar.face_with(drawn.lines));
  EXPECT_EQ(count(found, Finding::found), jar.wall().placements.size());
  const test::FaceAgreement agreement =
      test::compare_on_face(jar.wall().surface, found.face.strokes, drawn.truth.strokes);
  EXPECT_GE(agreement.recall, 0.97);
  EXPECT_GE(agreement.precision, 0.97);
  EXPECT_LE(agreement.median_mm, 0.5);
  EXPECT_LE(agreement.p95_mm, 1.0);
  // The reader's own share of that: far below, as these pictures have no photo's errors.
  EXPECT_LE(agreement.median_mm, 0.12);
  EXPECT_LE(agreement.p95_mm, 0.35);
}

// Every stroke belongs to the placement that it was drawn for.
TEST(RecoverLines, SaysHowFarEveryCopyIsFromItsPlace) {
  Jar jar;
  std::vector<Placement> moved = jar.wall().placements;
  const Vec2 by{2.5, -3.0};
  Arranged off = jar.arranged;
  for (Placement& p : off.faces.front().placements) {
    p.at = jar.wall().surface.laid(p.at, by);
    p.change.turn_deg += 3.0;
  }
  const test::Hand steady{.shift_mm = 0.0, .turn_deg = 0.0, .wobble_mm = 0.0, .look = {}};
  const test::HandDrawn drawn = test::draw_by_hand(off.faces.front(), off.motifs, steady);
  const RecoveredLines found = jar.recovered(jar.face_with(drawn.lines));
  ASSERT_EQ(found.placements.size(), jar.wall().placements.size());
  for (const FoundPlacement& p : found.placements) {
    EXPECT_EQ(p.finding, Finding::found) << p.id;
    EXPECT_NEAR(p.shift.x, by.x, 0.3) << p.id;
    EXPECT_NEAR(p.shift.y, by.y, 0.3) << p.id;
    EXPECT_NEAR(p.turn_deg, 3.0, 0.6) << p.id;
    EXPECT_NEAR(p.scale, 1.0, 0.012) << p.id;
    EXPECT_GT(p.seen, 0.95) << p.id;
  }
}

TEST(RecoverLines, FindsNothingThatWasNotDrawn) {
  Jar jar;
  jar.coat.mottle = 0.2;
  jar.coat.grain = 0.06;
  const auto third = [](const Placement& p) { return p.id % 3 == 0; };
  const test::HandDrawn drawn = test::draw_by_hand(jar.wall(), jar.arranged.motifs, {}, third);
  const RecoveredLines found = jar.recovered(jar.face_with(drawn.lines));
  for (const FoundPlacement& p : found.placements) {
    EXPECT_EQ(p.finding, p.id % 3 == 0 ? Finding::found : Finding::no_match) << p.id;
  }
  for (const RecoveredStroke& stroke : found.face.strokes) {
    EXPECT_EQ(stroke.placement.value_or(0) % 3, 0);
  }
  const test::FaceAgreement agreement =
      test::compare_on_face(jar.wall().surface, found.face.strokes, drawn.truth.strokes);
  EXPECT_GE(agreement.precision, 0.97);
}

// Another piece on the mat: each place has a drawing, but of another motif.
TEST(RecoverLines, TellsAnotherMotifFromItsOwn) {
  Jar jar;
  Arranged other = jar.arranged;
  const std::map<std::string, std::string> instead = {{"thistle", "sea-pink"},
                                                      {"kelp", "feather"},
                                                      {"scallop", "knot"},
                                                      {"sea-pink", "knot"},
                                                      {"feather", "kelp"},
                                                      {"knot", "thistle"}};
  for (Placement& p : other.faces.front().placements) p.motif = instead.at(p.motif);
  const test::HandDrawn drawn = test::draw_by_hand(other.faces.front(), other.motifs);
  const RecoveredLines found = jar.recovered(jar.face_with(drawn.lines));
  EXPECT_EQ(count(found, Finding::no_match), found.placements.size());
  // Its lines are given all the same, as nobody's.
  EXPECT_GT(found.face.strokes.size(), 50U);
}

TEST(RecoverLines, SeesThatACopyWasDrawnMirrored) {
  Jar jar;
  Arranged other = jar.arranged;
  for (Placement& p : other.faces.front().placements) p.change.mirrored = !p.change.mirrored;
  const test::HandDrawn drawn = test::draw_by_hand(other.faces.front(), other.motifs);
  const RecoveredLines found = jar.recovered(jar.face_with(drawn.lines));
  ASSERT_EQ(found.placements.size(), jar.wall().placements.size());
  for (std::size_t i = 0; i < found.placements.size(); ++i) {
    // The scallop is its own mirror image.
    const bool same = jar.wall().placements[i].motif == "scallop";
    EXPECT_EQ(found.placements[i].finding, same ? Finding::found : Finding::mirrored) << i + 1;
  }
}

TEST(RecoverLines, InventsNothingWherePhotosShowNothing) {
  Jar jar;
  const test::HandDrawn drawn = test::draw_by_hand(jar.wall(), jar.arranged.motifs);
  Unrolled face = jar.face_with(drawn.lines);
  const int from = face.light.cols / 4;
  const cv::Rect hidden(from, 0, face.light.cols / 3, face.light.rows);
  face.light(hidden).setTo(0.0f);
  face.trust(hidden).setTo(0.0f);
  const RecoveredLines found = jar.recovered(face);
  const double low = from / face.px_per_across;
  const double high = low + hidden.width / face.px_per_across;
  const auto is_hidden = [&](double a) { return wrapped_deg(a) > low && wrapped_deg(a) < high; };
  const double reach_deg = 26.0 / jar.wall().surface.mm_per_across(25.0);
  for (std::size_t i = 0; i < found.placements.size(); ++i) {
    const double at = jar.wall().placements[i].at.across;
    const bool gone = is_hidden(at) && is_hidden(at - reach_deg) && is_hidden(at + reach_deg);
    const bool clear = !is_hidden(at) && !is_hidden(at - reach_deg) && !is_hidden(at + reach_deg);
    const Finding finding = found.placements[i].finding;
    EXPECT_TRUE(!gone || finding == Finding::not_seen) << i + 1;
    EXPECT_TRUE(!clear || finding == Finding::found) << i + 1;
  }
  EXPECT_GT(count(found, Finding::not_seen), 1U);
  for (const RecoveredStroke& stroke : found.face.strokes) {
    const auto out_of_sight = std::count_if(
        stroke.points.begin(), stroke.points.end(), [&](Vec2 p) { return is_hidden(p.x); });
    const double share =
        static_cast<double>(out_of_sight) / static_cast<double>(stroke.points.size());
    // Only as the smaller part of a stroke of a found drawing, and said so.
    EXPECT_LE(share, 0.5 + 1e-9);
    EXPECT_LE(stroke.seen, 1.0 - share + 0.1);
  }
  const test::FaceAgreement agreement = test::compare_on_face(
      jar.wall().surface, found.face.strokes, drawn.truth.strokes, 1.0, [&](FacePoint p) {
        return !is_hidden(p.across);
      });
  EXPECT_GE(agreement.recall, 0.97);
  EXPECT_GE(agreement.precision, 0.97);
}

// A line round the wall that no motif knows comes as it was drawn, in one piece through the seam.
TEST(RecoverLines, KeepsLinesOfNoMotifAsFound) {
  Jar jar;
  test::FaceLine ring;
  RecoveredStroke truth;
  for (double a = -100.0; a <= 100.0; a += 0.25) {
    const Vec2 p{a, 44.0 + 1.5 * std::sin(radians(4.0 * a))};
    ring.points.push_back({wrapped_deg(p.x), p.y});
    truth.points.push_back(p);
  }
  truth.points = run_on_through_seam(truth.points);
  const RecoveredLines found = jar.recovered(jar.face_with({ring}));
  ASSERT_EQ(found.face.strokes.size(), 1U);
  EXPECT_FALSE(found.face.strokes.front().placement);
  const test::FaceAgreement agreement =
      test::compare_on_face(jar.wall().surface, found.face.strokes, {truth}, 0.3);
  EXPECT_GE(agreement.recall, 0.995);
  EXPECT_GE(agreement.precision, 0.995);
  EXPECT_LE(agreement.median_mm, 0.05);
}

TEST(RecoverLines, ReadsATile) {
  const Face tile{"tile", FlatFace{120.0, 110.0}, {}};
  Arrangement middle;
  middle.face = "tile";
  middle.style = Style::centre;
  middle.motifs = {"thistle"};
  middle.heights_mm = {80.0};
  const Arranged arranged = arrange({tile}, {middle}, test::harbour_motifs(), {{6.0, 1.0, 5.5}});
  const PlacedFace& placed = arranged.faces.front();
  const test::HandDrawn drawn =
      test::draw_by_hand(placed, arranged.motifs, {.turn_deg = 3.0, .look = {}});
  const Unrolled face = test::laid_out(
      placed.surface, test::FaceTexture(placed.surface, drawn.lines, {}), {.px_per_mm = 9.0});
  const RecoveredLines found = recover_lines(face, placed, arranged.motifs);
  ASSERT_EQ(found.placements.size(), 1U);
  EXPECT_EQ(found.placements.front().finding, Finding::found);
  const test::FaceAgreement agreement =
      test::compare_on_face(placed.surface, found.face.strokes, drawn.truth.strokes);
  EXPECT_GE(agreement.recall, 0.99);
  EXPECT_GE(agreement.precision, 0.99);
  EXPECT_LE(agreement.p95_mm, 0.35);
}

TEST(RecoverLines, RefusesOptionsOutsideTheirRangesAndUnknownMotifs) {
  Jar jar;
  const Unrolled face = jar.face_with({});
  RecoverLinesOptions options;
  options.read.line_mm = 0.0;
  EXPECT_THROW(recover_lines(face, jar.wall(), jar.arranged.motifs, options), OptionError);
  options = {};
  options.match.reach_mm = 90.0;
  EXPECT_THROW(recover_lines(face, jar.wall(), jar.arranged.motifs, options), OptionError);
  EXPECT_THROW(recover_lines(face, jar.wall(), {}), GeometryError);
}

}  // namespace
}  // namespace underdraw
