#include "sheet/face_map.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "sheet/decorated_faces.h"
#include "sheet/draw_map.h"
#include "sheet/label_room.h"

namespace underdraw {
namespace {

const Box kRoom{{10, 20}, {280, 190}};

TEST(FaceMap, StaysInItsBoxAndNumbersEachPlacementOnceOnEveryForm) {
  const std::vector<Motif> motifs = sample_motifs();
  for (const PlacedFace& face : one_of_each_form()) {
    const FaceMap map = face_map(face, motifs, kRoom);
    const std::string form = name_of(face.face.form);
    for (const Mark& mark : map.marks) {
      EXPECT_TRUE(kRoom.grown(0.05).contains(ink_box_of(mark))) << form;
    }
    for (const Placement& p : face.placements) {
      EXPECT_EQ(bold_count(map.marks, std::to_string(p.id)), 1) << form << ' ' << p.id;
    }
  }
}

TEST(FaceMap, WordsDoNotLieOnEachOther) {
  const std::vector<Motif> motifs = sample_motifs();
  for (const PlacedFace& face : one_of_each_form()) {
    const std::vector<TextMark> texts = texts_of(face_map(face, motifs, kRoom).marks);
    for (std::size_t i = 0; i < texts.size(); ++i) {
      for (std::size_t j = i + 1; j < texts.size(); ++j) {
        for (const Box& a : text_boxes(texts[i])) {
          for (const Box& b : text_boxes(texts[j])) {
            EXPECT_FALSE(a.grown(-0.1).overlaps(b.grown(-0.1)))
                << name_of(face.face.form) << ": " << texts[i].text << " on " << texts[j].text;
          }
        }
      }
    }
  }
}

TEST(FaceMap, NumbersLieOnNoLineWhereThereIsRoomBesideTheCopies) {
  const std::vector<Motif> motifs = sample_motifs();
  for (const FaceForm& form :
       {FaceForm{CylinderFace{372, 140}}, FaceForm{ConeFace{260, 372, 140}}}) {
    const PlacedFace face = decorated(face_of(form), 6, 1, 24);
    const FaceMap map = face_map(face, motifs, kRoom);
    for (const TextMark& text : texts_of(map.marks)) {
      if (!text.bold) continue;
      EXPECT_FALSE(line_through(map.marks, text_box(text))) << text.text;
    }
  }
}

// Development of a frustum: the wall becomes a ring sector about the cone's tip whose radii are the
// ways along the wall from the tip and whose arcs are the circumferences. Source: any handbook of
// sheet metal work; distances on it by the law of cosines.
TEST(MapChart, LaysAConeOutAsTheHandbookDevelopsIt) {
  const double foot = 240.0, rim = 372.0, slant = 130.0;
  const PlacedFace face = decorated(face_of(ConeFace{foot, rim, slant}), 1, 1, 20);
  const MapChart chart(face);
  const double tip = slant * foot / (rim - foot);  // from the tip to the foot
  const double opening = foot / tip;               // of the sector, rad
  const auto expected = [&](FacePoint p, FacePoint q) {
    const double a = tip + p.along, b = tip + q.along;
    const double turn = opening * (q.across - p.across) / 360.0;
    return std::sqrt(a * a + b * b - 2.0 * a * b * std::cos(turn));
  };
  const FacePoint points[] = {{0, 0}, {360, 0}, {0, 130}, {360, 130}, {77, 12}, {210, 99}};
  for (const FacePoint p : points) {
    for (const FacePoint q : points) {
      EXPECT_NEAR(distance(chart.at(p), chart.at(q)), expected(p, q), 1e-6);
    }
  }
}

TEST(MapChart, PutsEachSpotOfACopyWhereItComesToLieOnTheWall) {
  for (const FaceForm& form : {FaceForm{CylinderFace{372, 120}},
                               FaceForm{ConeFace{240, 372, 130}},
                               FaceForm{RingFace{160, 270}}}) {
    const PlacedFace face = decorated(face_of(form), 5, 1, 20);
    const MapChart chart(face);
    for (const Placement& p : face.placements) {
      for (const Vec2 paper : {Vec2{0, 0}, Vec2{14, -9}, Vec2{-11, 6}}) {
        const Vec2 rigid = chart.chart_from_copy(p.at) * paper;
        const Vec2 on_wall = chart.at(face.surface.laid(p.at, paper));
        EXPECT_LT(distance(rigid, on_wall), 1e-6) << name_of(form);
      }
    }
  }
}

TEST(MapChart, IsAsWideAsTheWidestPartOfABelly) {
  const PlacedFace face = decorated(face_of(bellied_wall()), 4, 1, 20);
  const MapChart chart(face);
  EXPECT_NEAR(chart.at({360, 50}).x - chart.at({0, 50}).x, face.surface.widest_mm(), 1e-9);
  EXPECT_GT(face_map(face, sample_motifs(), kRoom).notes.size(), 0U);
}

TEST(FaceMap, ACopyOverTheSeamComesInAtTheOtherEnd) {
  const std::vector<Motif> motifs = sample_motifs();
  PlacedFace face = decorated(face_of(CylinderFace{372, 120}), 1, 1, 30);
  const auto pale_lines = [&](double across) {
    face.placements[0].at.across = across;
    Box box;
    for (const Mark& mark : face_map(face, motifs, kRoom).marks) {
      const auto* path = std::get_if<PathMark>(&mark);
      if (path != nullptr && path->line.lightness == 0.6) box.add(ink_box_of(mark));
    }
    return box;
  };
  EXPECT_TRUE(pale_lines(180.0).empty());
  EXPECT_GT(pale_lines(1.0).min.x, 200.0);
  EXPECT_LT(pale_lines(359.0).max.x, 60.0);
  EXPECT_FALSE(pale_lines(359.0).empty());
}

TEST(FaceMap, MarksAndExplainsWhatIsTooFineAndWhatHasToBeCut) {
  const std::vector<Motif> motifs = sample_motifs();
  PlacedFace face = decorated(face_of(BallFace{420}), 4, 1, 30);
  const auto notes_with = [&](MapNote::Sign sign) {
    int count = 0;
    for (const MapNote& note : face_map(face, motifs, kRoom).notes) count += note.sign == sign;
    return count;
  };
  EXPECT_EQ(notes_with(MapNote::Sign::too_fine), 0);
  EXPECT_EQ(notes_with(MapNote::Sign::dart), 0);
  const auto marks_before = face_map(face, motifs, kRoom).marks.size();
  face.placements[1].too_fine = true;
  face.placements[2].darts = {Path::polyline({{-12, -16}, {-5, -6}})};
  EXPECT_EQ(notes_with(MapNote::Sign::too_fine), 1);
  EXPECT_EQ(notes_with(MapNote::Sign::dart), 1);
  EXPECT_EQ(face_map(face, motifs, kRoom).marks.size(), marks_before + 2);
}

TEST(DrawMaps, EveryPageKeepsWithinItsMargins) {
  const std::vector<Motif> motifs = sample_motifs();
  for (const PaperSize& paper : {paper_size("A4"), paper_size("Letter"), custom_paper(120, 150)}) {
    const MapOptions options{paper, 8.0};
    for (const Drawing& page : draw_maps("Harbour jar", one_of_each_form(), motifs, options)) {
      const Box printable{{8, 8}, {page.width_mm - 8, page.height_mm - 8}};
      for (const Mark& mark : page.marks) {
        EXPECT_TRUE(printable.grown(0.05).contains(ink_box_of(mark))) << paper.name;
      }
    }
  }
}

}  // namespace
}  // namespace underdraw
