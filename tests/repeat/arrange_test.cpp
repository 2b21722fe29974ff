#include "repeat/arrange.h"

#include <cmath>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

// A frame of w x h mm, pen included: its silhouette is the whole rectangle with round corners.
Motif frame(const std::string& name, double w, double h) {
  Linework lines;
  lines.strokes.push_back(
      {Path::polyline({{0.5, 0.5}, {w - 0.5, 0.5}, {w - 0.5, h - 0.5}, {0.5, h - 0.5}}, true),
       1.0});
  return make_motif(name, lines);
}

Face wall(double around, double height) { return {"wall", CylinderFace{around, height}, {}}; }

Clay unfired() { return {{0.0, 0.0, 0.0}, ClayStage::bisque, ClayStage::bisque}; }

Arrangement band(std::vector<std::string> motifs, double gap, Mirroring mirror = Mirroring::none) {
  Arrangement asked;
  asked.face = "wall";
  asked.motifs = std::move(motifs);
  asked.mirror = mirror;
  asked.gap_mm = gap;
  return asked;
}

PlacedFace placed(const Face& face,
                  const Arrangement& asked,
                  const std::vector<Motif>& motifs,
                  const Clay& clay = unfired(),
                  double least_gap_mm = 0.0) {
  return arrange({face}, {asked}, motifs, clay, {.least_gap_mm = least_gap_mm, .tool = {}})
      .faces.at(0);
}

std::vector<std::string> variants(const PlacedFace& face) {
  std::vector<std::string> names;
  for (const Placement& p : face.placements) names.push_back(p.variant);
  return names;
}

std::string complaint(const Face& face,
                      const Arrangement& asked,
                      const std::vector<Motif>& motifs,
                      double least_gap_mm = 0.0) {
  try {
    placed(face, asked, motifs, unfired(), least_gap_mm);
  } catch (const GeometryError& error) {
    return error.what();
  }
  return "accepted";
}

TEST(ArrangeBand, ClosesRoundTheFiveBodiesOfTheTable) {
  struct Case {
    double around, width, gap;
    int n;
    double true_gap;
  };
  // n = floor(C / (w + g)), gap = C / n - w, by hand.
  for (const Case& c : {Case{251.3274, 30, 5, 7, 5.9039143},
                        {251.3274, 42, 3, 5, 8.2654800},
                        {314.1593, 28, 4, 9, 6.9065889},
                        {200, 25, 0, 8, 0},
                        {263, 18.5, 6.5, 10, 7.8}}) {
    const PlacedFace face =
        placed(wall(c.around, 100), band({"shell"}, c.gap), {frame("shell", c.width, 20)});
    const FitReport& report = face.reports.at(0);
    EXPECT_EQ(report.copies, c.n);
    EXPECT_NEAR(report.gap_mm, c.true_gap, 1e-6);
    EXPECT_LT(report.seam_error_mm, 0.1);
    EXPECT_LT(report.seam_error_mm, 1e-4);  // what rounding to 1e-5 degrees may leave, and no more
  }
}

TEST(ArrangeBand, SeamErrorIsWhatTheWrittenNumbersGive) {
  const Motif shell = frame("shell", 17.3, 20);
  const PlacedFace face = placed(wall(333.33, 100), band({"shell"}, 2.2), {shell});
  const auto& p = face.placements;
  double least = 1e9, most = -1e9;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const std::size_t next = (i + 1) % p.size();
    const double a = std::round(p[i].at.across * 1e5) / 1e5;
    const double b = std::round(p[next].at.across * 1e5) / 1e5;
    const double gap =
        (b - a + (next == 0 ? 360.0 : 0.0)) / 360.0 * face.surface.widest_mm() - 17.3;
    least = std::min(least, gap);
    most = std::max(most, gap);
  }
  EXPECT_NEAR(face.reports[0].seam_error_mm, most - least, 1e-7);
  EXPECT_GT(most - least, 0.0);
}

TEST(ArrangeBand, UnitsFollowTheMirrorRule) {
  const std::vector<Motif> motifs = {frame("kelp", 20, 30), frame("tern", 30, 25)};
  const Face face = wall(320, 100);
  using Names = std::vector<std::string>;
  const Names none = variants(placed(face, band({"kelp", "tern"}, 5), motifs));
  EXPECT_EQ(Names(none.begin(), none.begin() + 4), (Names{"kelp", "tern", "kelp", "tern"}));
  const Names alternate =
      variants(placed(face, band({"kelp", "tern"}, 5, Mirroring::alternate), motifs));
  ASSERT_EQ(alternate.size(), 8U);
  EXPECT_EQ(Names(alternate.begin(), alternate.begin() + 4),
            (Names{"kelp", "tern", "kelp-mirrored", "tern-mirrored"}));
  const Names both = variants(placed(face, band({"kelp", "tern"}, 5, Mirroring::both), motifs));
  EXPECT_EQ(Names(both.begin(), both.begin() + 4),
            (Names{"kelp", "kelp-mirrored", "tern", "tern-mirrored"}));
}

TEST(ArrangeBand, MirroringRoundTheBodyKeepsTheCountEven) {
  // Mirror round the body needs an even n: 251.3274 holds seven of 30 mm, so six stand there.
  for (const double around : {251.3274, 200.0, 314.1593, 188.5, 263.0}) {
    for (const Mirroring mirror : {Mirroring::alternate, Mirroring::both}) {
      const PlacedFace face =
          placed(wall(around, 100), band({"shell"}, 5, mirror), {frame("shell", 30, 20)});
      EXPECT_EQ(face.placements.size() % 2, 0U);
      for (std::size_t i = 0; i < face.placements.size(); ++i) {
        EXPECT_EQ(face.placements[i].change.mirrored, i % 2 == 1);
      }
    }
  }
}

TEST(ArrangeBand, HeightIsOfTheFinishedPieceAndTheTemplateOfTheTransfer) {
  Clay clay{{6.0, 1.0, 5.5}, ClayStage::dry, ClayStage::bisque};
  Arrangement asked = band({"shell"}, 6);
  asked.heights_mm = {45};
  asked.at_mm = 60;  // tape, dry
  const PlacedFace face = placed(wall(372, 120), asked, {frame("shell", 20, 30)}, clay);
  EXPECT_NEAR(face.surface.widest_mm(), 372 * 0.99, 1e-4);
  const Placement& p = face.placements.at(0);
  EXPECT_NEAR(30 * p.change.scale, 45 / 0.945, 1e-6);
  EXPECT_NEAR(p.at.along, 60 * 0.99, 1e-4);
  EXPECT_NEAR(face.reports[0].gap_finished_mm, face.reports[0].gap_mm * 0.945, 1e-12);
  EXPECT_GE(face.reports[0].gap_finished_mm, 6.0);
  EXPECT_NE(face.reports[0].notes.at(1).find("finished 30.0 x 45.0 mm, so 31.75 x 47.62 mm"),
            std::string::npos);
}

TEST(ArrangeBand, WithoutAHeightTheDrawingIsTheFinishedSize) {
  Clay clay{{6.0, 1.0, 5.5}, ClayStage::bisque, ClayStage::bisque};
  const PlacedFace face =
      placed(wall(372, 120), band({"shell"}, 6), {frame("shell", 20, 30)}, clay);
  EXPECT_NEAR(face.placements.at(0).change.scale, 1 / 0.945, 1e-8);
}

TEST(ArrangeBand, CoverageIsSilhouettesOverTheFace) {
  const PlacedFace face = placed(wall(251.3274, 100), band({"shell"}, 5), {frame("shell", 30, 20)});
  // Rectangle less its four round corners of radius 0.5.
  const double one = 30.0 * 20.0 - (4.0 - std::numbers::pi) * 0.25;
  EXPECT_NEAR(face.coverage, 7 * one / (251.3274 * 100), 1e-4);
  EXPECT_EQ(face.coverage, face.reports[0].coverage);
}

TEST(ArrangeBand, NothingLiesAcrossTheSeam) {
  const PlacedFace face = placed(wall(251.3274, 100), band({"shell"}, 5), {frame("shell", 30, 20)});
  for (const Placement& p : face.placements) {
    const double x = p.at.across / 360.0 * face.surface.widest_mm();
    EXPECT_GE(x - 15.0, 0.0);
    EXPECT_LE(x + 15.0, face.surface.widest_mm());
  }
}

TEST(ArrangeBand, CopiesInKeepOutZonesAreLeftOutAndCounted) {
  Face face = wall(360, 100);
  face.keep_out = {{170, 190, 20, 80, "handle"}, {355, 5, 0, 100, "seam"}};
  const PlacedFace out = placed(face, band({"shell"}, 4), {frame("shell", 20, 20)});
  const FitReport& report = out.reports.at(0);
  // 15 copies, one each 24 mm = 24 degrees, at 12, 36 … 348: copies reach 10 either way, so those
  // at 180 (handle), 12 and 348 (seam) touch.
  EXPECT_EQ(report.left_out, 3);
  EXPECT_EQ(report.copies, 12);
  EXPECT_TRUE(report.warnings.empty());  // the zones were asked for
  for (const char* note : {"1 copy left out: handle", "2 copies left out: seam"}) {
    EXPECT_EQ(std::count(report.notes.begin(), report.notes.end(), note), 1) << note;
  }
  for (std::size_t i = 0; i < out.placements.size(); ++i) {
    EXPECT_EQ(out.placements[i].id, static_cast<int>(i) + 1);
  }
}

TEST(ArrangeBand, RefusalsNameTheNumbersAndTheLargestSizeThatFits) {
  const std::vector<Motif> motifs = {frame("shell", 60, 30), frame("tern", 50, 40)};
  const std::string around = complaint(wall(100, 100), band({"shell", "tern"}, 5), motifs);
  EXPECT_NE(around.find("needs 120.0 mm"), std::string::npos) << around;
  EXPECT_NE(around.find("at most 100.0 mm, the circumference"), std::string::npos) << around;
  EXPECT_NE(around.find("the largest height that fits is 32.7"), std::string::npos)
      << around;  // 40 * 90 / 110
  const std::string high = complaint(wall(500, 35), band({"tern"}, 5), motifs);
  EXPECT_NE(high.find("40.0 mm high"), std::string::npos) << high;
  EXPECT_NE(high.find("the largest height that fits is 35.0"), std::string::npos) << high;
  Arrangement low = band({"tern"}, 5);
  low.at_mm = 10;
  EXPECT_NE(complaint(wall(500, 100), low, motifs).find("at from 20.0 to 80.0"), std::string::npos);
  EXPECT_NE(complaint(wall(500, 100), band({"gull"}, 5), motifs).find("'gull'"), std::string::npos);
  Arrangement elsewhere = band({"tern"}, 5);
  elsewhere.face = "rim";
  EXPECT_NE(complaint(wall(500, 100), elsewhere, motifs).find("'rim'"), std::string::npos);
}

TEST(ArrangeBand, TheLargestHeightNamedDoesFit) {
  std::vector<Motif> motifs = {frame("shell", 60, 30), frame("tern", 50, 40)};
  Arrangement asked = band({"shell", "tern"}, 5);
  asked.heights_mm = {35};
  const std::string text = complaint(wall(100, 100), asked, motifs);
  const std::string key = "largest height that fits is ";
  ASSERT_NE(text.find(key), std::string::npos) << text;
  asked.heights_mm = {std::stod(text.substr(text.find(key) + key.size()))};
  EXPECT_EQ(placed(wall(100, 100), asked, motifs).reports[0].repeats, 1);
  asked.heights_mm[0] += 0.1;
  EXPECT_NE(complaint(wall(100, 100), asked, motifs), "accepted");
}

TEST(ArrangeBand, NeighboursCloserThanThePenAllowsAreRefused) {
  const std::string text =
      complaint(wall(200, 100), band({"shell"}, 0), {frame("shell", 25, 20)}, 0.8);
  EXPECT_NE(text.find("0.00 mm close (expected at least 0.80 mm"), std::string::npos) << text;
  EXPECT_EQ(complaint(wall(200, 100), band({"shell"}, 0.8), {frame("shell", 25, 20)}, 0.8),
            "accepted");
}

TEST(ArrangeBand, OnAFlatFaceTheGapsAndHalfGapEndsFillTheWidth) {
  const Face tile{"wall", FlatFace{150, 80}, {}};
  const PlacedFace face = placed(tile, band({"shell"}, 6), {frame("shell", 40, 20)});
  const FitReport& report = face.reports[0];
  EXPECT_EQ(report.copies, 3);
  EXPECT_NEAR(report.gap_mm, 10.0, 1e-6);
  EXPECT_NEAR(report.end_gap_mm, 5.0, 1e-6);
  EXPECT_NEAR(face.placements[0].at.across, 25.0, 1e-4);
  EXPECT_NEAR(face.placements[2].at.across, 125.0, 1e-4);
  EXPECT_NEAR(face.placements[0].at.along, 40.0, 1e-4);
}

TEST(ArrangeCentre, StandsOppositeTheTickSideBySide) {
  Arrangement asked = band({"kelp", "tern"}, 6);
  asked.style = Style::centre;
  const PlacedFace face =
      placed(wall(300, 100), asked, {frame("kelp", 20, 30), frame("tern", 40, 30)});
  ASSERT_EQ(face.placements.size(), 2U);
  // 20 + 6 + 40 about 150: from 117 to 183.
  EXPECT_NEAR(face.placements[0].at.across * 300 / 360, 127.0, 1e-4);
  EXPECT_NEAR(face.placements[1].at.across * 300 / 360, 163.0, 1e-4);
  EXPECT_NEAR(face.placements[0].at.along, 50.0, 1e-4);
}

TEST(ArrangeRows, FillsTheHeightWithWholeClosedRows) {
  Arrangement asked = band({"shell"}, 5);
  asked.style = Style::rows;
  asked.row_gap_mm = 8;
  const PlacedFace face = placed(wall(251.3274, 100), asked, {frame("shell", 30, 20)});
  const FitReport& report = face.reports[0];
  EXPECT_EQ(report.rows, 3);  // 100 / 28 = 3.57
  EXPECT_EQ(report.copies, 21);
  EXPECT_NEAR(report.row_gap_mm, 100.0 / 3 - 20, 1e-9);
  for (std::size_t i = 7; i < 21; ++i) {  // rows stand under each other
    EXPECT_EQ(face.placements[i].at.across, face.placements[i - 7].at.across);
    EXPECT_NEAR(face.placements[i - 7].at.along - face.placements[i].at.along, 100.0 / 3, 2e-4);
  }
  asked.rows = 2;
  EXPECT_EQ(placed(wall(251.3274, 100), asked, {frame("shell", 30, 20)}).reports[0].copies, 14);
  asked.rows = 4;
  const std::string text = complaint(wall(251.3274, 100), asked, {frame("shell", 30, 20)});
  EXPECT_NE(text.find("4 rows need 112.0 mm"), std::string::npos) << text;
  EXPECT_NE(text.find("the largest height that fits is 17.0"), std::string::npos) << text;
}

TEST(Arrange, NumbersRunOverThePieceAndLaterBandsKeepClearOfEarlierOnes) {
  const std::vector<Motif> motifs = {frame("shell", 30, 20)};
  Arrangement low = band({"shell"}, 5);
  low.at_mm = 20;
  Arrangement high = low;
  high.at_mm = 60;
  Arrangement on_tile = low;
  on_tile.face = "tile";
  const std::vector<Face> faces = {wall(251.3274, 100), {"tile", FlatFace{100, 50}, {}}};
  const auto apart = arrange(faces, {on_tile, low, high}, motifs, unfired()).faces;
  ASSERT_EQ(apart.size(), 2U);
  EXPECT_EQ(apart[0].placements.back().id, 14);
  EXPECT_EQ(apart[1].placements.front().id, 15);
  EXPECT_TRUE(apart[0].reports[1].warnings.empty());
  EXPECT_NEAR(
      apart[0].coverage, apart[0].reports[0].coverage + apart[0].reports[1].coverage, 1e-15);
  high.at_mm = 30;
  const auto over = arrange(faces, {low, high}, motifs, unfired()).faces;
  ASSERT_EQ(over[0].reports[1].warnings.size(), 2U);  // and that nothing is left
  EXPECT_NE(over[0].reports[1].warnings[0].find("7 copies left out"), std::string::npos)
      << over[0].reports[1].warnings[0];
  EXPECT_EQ(over[0].placements.size(), 7U);
}

TEST(Arrange, AFaceWithoutAnArrangementIsStillThere) {
  const auto faces = arrange({wall(300, 100)}, {}, {}, unfired()).faces;
  ASSERT_EQ(faces.size(), 1U);
  EXPECT_EQ(name_of(faces[0].face.form), "cylinder");
  EXPECT_TRUE(faces[0].placements.empty());
}

}  // namespace
}  // namespace underdraw
