// Lines are laid on a face as paper would be, and must come back on the sheets as they were drawn.
// Source: own construction, no outside source; the sheets are measured by poppler (io/prove_pdf.h).
#include "recover/redraw.h"

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/prove_pdf.h"
#include "io/sheets_file.h"
#include "sheet/draw_cover.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/proof.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

PlacedFace belly(std::vector<Placement> placements) {
  PlacedFace face;
  face.face = {"wall", TurnedFace{{{0, 300}, {50, 372}, {95, 320}}}, {}};
  face.surface = surface_of(face.face);
  face.placements = std::move(placements);
  return face;
}

Placement placed(int id, const std::string& motif, FacePoint at, Change change = {}) {
  Placement placement;
  placement.id = id;
  placement.motif = motif;
  placement.variant = motif;
  placement.at = at;
  placement.change = change;
  return placement;
}

// As if photos showed every line of the placement.
std::vector<RecoveredStroke> seen_lines(const PlacedFace& face,
                                        const Placement& placement,
                                        const Motif& motif,
                                        std::optional<int> id) {
  std::vector<RecoveredStroke> out;
  for (const Stroke& stroke : transformed(motif.lines, placement.copy_from_motif(motif)).strokes) {
    RecoveredStroke line{id, 1.0, {}, {}};
    for (const Vec2 p : sample(stroke.path, 0.2)) {
      const FacePoint on = face.surface.laid(placement.at, p);
      line.points.push_back({on.across, on.along});
    }
    line.points = run_on_through_seam(line.points);
    out.push_back(std::move(line));
  }
  return out;
}

double farthest_apart(const Motif& a, const Motif& b) {
  double worst = 0.0;
  EXPECT_EQ(a.lines.strokes.size(), b.lines.strokes.size());
  for (std::size_t i = 0; i < std::min(a.lines.strokes.size(), b.lines.strokes.size()); ++i) {
    const std::vector<Vec2> line = sample(a.lines.strokes[i].path, 0.05);
    for (const Vec2 p : sample(b.lines.strokes[i].path, 0.5)) {
      double nearest = 1e9;
      for (const Vec2 q : line) nearest = std::min(nearest, distance(p, q));
      worst = std::max(worst, nearest);
    }
  }
  return worst;
}

class RedrawMotifs : public ::testing::Test {
 protected:
  const std::vector<Motif> motifs_ = {kelp_motif(), scallop_motif(), feather_motif()};
  const PlacedFace face_ = belly({placed(1, "kelp", {90, 50}),
                                  placed(2, "scallop", {2, 40}, {true, 0.0, 0.8}),
                                  placed(7, "tern feather", {200, 55}, {true, 30.0, 0.7})});

  RecoveredFace all_seen() const {
    RecoveredFace out{"wall", {}};
    for (std::size_t i = 0; i < motifs_.size(); ++i) {
      const Placement& placement = face_.placements[i];
      for (RecoveredStroke& line : seen_lines(face_, placement, motifs_[i], placement.id)) {
        out.strokes.push_back(std::move(line));
      }
    }
    return out;
  }
};

TEST_F(RedrawMotifs, BringsLinesBackToTheMotifsTheyCameFrom) {
  const Redraw redraw = redraw_motifs({face_}, motifs_, {all_seen()});
  ASSERT_EQ(redraw.faces.size(), 1U);
  ASSERT_EQ(redraw.motifs.size(), 3U);
  EXPECT_TRUE(redraw.as_found.empty());
  for (std::size_t i = 0; i < motifs_.size(); ++i) {
    const Placement& was = face_.placements[i];
    const Placement& now = redraw.faces[0].placements[i];
    EXPECT_EQ(now.id, was.id);
    EXPECT_EQ(now.at, was.at);
    EXPECT_EQ(now.change.mirrored, was.change.mirrored);
    EXPECT_EQ(now.motif, redraw.motifs[i].name);
    EXPECT_NEAR(redraw.motifs[i].width_mm, motifs_[i].width_mm, 1e-6);
    EXPECT_NEAR(redraw.motifs[i].height_mm, motifs_[i].height_mm, 1e-6);
    // 0.01 mm on paper by which lines were made simpler, at scale 0.7; half the comparison's step.
    EXPECT_LT(farthest_apart(motifs_[i], redraw.motifs[i]), 0.04);
  }
}

TEST_F(RedrawMotifs, PrintsThemAtTheirNumbersAndTheProofAgrees) {
  const Redraw redraw = redraw_motifs({face_}, motifs_, {all_seen()});
  SheetOptions options;
  options.method = TransferMethod::face_down;
  const CoverWords cover{"redraw sheet", {{"Not seen", {{"3", "nothing of it"}}}}};
  const SheetPlan plan = lay_out_sheets("Harbour jar", redraw.faces, redraw.motifs, options, cover);
  EXPECT_TRUE(check_plan(plan).empty());
  const ProofReport proof =
      prove_pdf_bytes(sheets_pdf(plan), "redraw.pdf", plan, {.dpi = 400.0, .limits = {}});
  EXPECT_TRUE(proof.ok) << (proof.reasons.empty() ? "" : proof.reasons.front());
  EXPECT_EQ(proof.placements, 3U);
  std::string words;
  const std::vector<Drawing> pages = draw_cover(plan);
  for (const Mark& mark : pages.front().marks) {
    if (const auto* text = std::get_if<TextMark>(&mark)) words += text->text + "\n";
  }
  EXPECT_NE(words.find("1 redraw sheet on A4"), std::string::npos) << words;
  EXPECT_NE(words.find("nothing of it"), std::string::npos) << words;
}

TEST_F(RedrawMotifs, CutsLinesOfNoMotifOutTogetherWhereTheyAreClose) {
  const Placement apart = placed(90, "kelp", {300, 50});
  RecoveredFace lines{"wall", seen_lines(face_, apart, motifs_[0], std::nullopt)};
  // A second group through the seam, and a dot on its own.
  for (const double s : {10.0, 12.0}) {
    lines.strokes.push_back({std::nullopt, 0.7, {}, {{355, s}, {358, s + 1}, {361, s + 2}}});
  }
  lines.strokes.push_back({std::nullopt, 1.0, {}, {{180, 80}}});
  const Redraw redraw = redraw_motifs({face_}, motifs_, {lines});
  EXPECT_EQ(redraw.as_found, (std::vector<int>{8, 9, 10}));
  ASSERT_EQ(redraw.motifs.size(), 3U);
  EXPECT_EQ(redraw.motifs[0].lines.strokes.size(), motifs_[0].lines.strokes.size());
  EXPECT_NEAR(redraw.motifs[0].height_mm, motifs_[0].height_mm, 0.8);
  EXPECT_EQ(redraw.motifs[1].lines.strokes.size(), 2U);
  const FacePoint seam = redraw.faces[0].placements[1].at;
  EXPECT_NEAR(std::min(seam.across, 360.0 - seam.across), 2.0, 0.1);
  EXPECT_NEAR(seam.along, 12.0, 0.1);
  EXPECT_TRUE(redraw.motifs[2].lines.strokes.front().path.is_dot());
  EXPECT_TRUE(check_plan(lay_out_sheets("Harbour jar", redraw.faces, redraw.motifs, {})).empty());
}

// A line round the whole wall is wider than any paper.
TEST_F(RedrawMotifs, SharesOutWhatIsTooLargeAndLosesNoLength) {
  RecoveredStroke ring{std::nullopt, 1.0, {}, {}};
  for (double a = 0.0; a <= 359.0; a += 1.0) ring.points.push_back({a, 60.0});
  const Redraw redraw = redraw_motifs({face_}, motifs_, {{"wall", {ring}}});
  EXPECT_GE(redraw.motifs.size(), 5U);
  double drawn = 0.0;
  for (const Motif& motif : redraw.motifs) {
    EXPECT_LT(motif.width_mm, 92.0);
    drawn += motif.lines.length_mm();
  }
  EXPECT_NEAR(drawn, face_.surface.mm_per_across(60.0) * 359.0, 1.0);
}

TEST_F(RedrawMotifs, CountsWhatOnlyAPhotoShows) {
  RecoveredFace lines{"wall", {{std::nullopt, 1.0, "a.jpg", {{10, 10}, {20, 20}}}}};
  const Redraw redraw = redraw_motifs({face_}, motifs_, {lines});
  EXPECT_EQ(redraw.in_photos_only, 1U);
  EXPECT_TRUE(redraw.motifs.empty());
}

TEST_F(RedrawMotifs, RefusesLinesOfAnotherPiece) {
  EXPECT_THROW(redraw_motifs({face_}, motifs_, {{"lid", {}}}), GeometryError);
  const RecoveredFace lines{"wall", {{99, 1.0, {}, {{10, 10}, {20, 20}}}}};
  EXPECT_THROW(redraw_motifs({face_}, motifs_, {lines}), GeometryError);
}

}  // namespace
}  // namespace underdraw
