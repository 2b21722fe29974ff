#include "sheet/draw_template.h"

#include <cmath>
#include <map>

#include <gtest/gtest.h>

#include "core/error.h"
#include "sheet/decorated_faces.h"
#include "sheet/label_room.h"
#include "sheet/strain_picture.h"
#include "sheet/template_part.h"
#include "sheet/template_tiles.h"

namespace underdraw {
namespace {

Rings disc(Vec2 centre, double radius) {
  Rings out(1);
  for (int i = 0; i < 120; ++i) {
    const double t = radians(3.0 * i);
    out[0].push_back(centre + Vec2{std::cos(t), std::sin(t)} * radius);
  }
  return out;
}

TEST(Tiled, NeighboursOverlapByTenMillimetresAndCoverTheWholeShape) {
  const Rings shape = disc({200, 160}, 150);
  const Tiling tiling = tiled({{50, 10}, {350, 310}}, shape, {180, 120});
  EXPECT_EQ(tiling.columns, 2U);
  EXPECT_EQ(tiling.rows, 3U);
  for (const Tile& tile : tiling.tiles) {
    EXPECT_NEAR(tile.window.width(), 180.0, 1e-9);
    EXPECT_NEAR(tile.window.height(), 120.0, 1e-9);
    if (const Tile* right = tiling.at(tile.row, tile.column + 1)) {
      EXPECT_NEAR(tile.window.max.x - right->window.min.x, 10.0, 1e-9);
    }
    if (const Tile* below = tiling.at(tile.row + 1, tile.column)) {
      EXPECT_NEAR(tile.window.max.y - below->window.min.y, 10.0, 1e-9);
    }
  }
  for (double r = 0.0; r <= 150.0; r += 5.0) {
    for (double deg = 0.0; deg < 360.0; deg += 7.0) {
      const Vec2 p = Vec2{200, 160} + Vec2{std::cos(radians(deg)), std::sin(radians(deg))} * r;
      bool held = false;
      for (const Tile& tile : tiling.tiles) held = held || tile.window.contains(p);
      EXPECT_TRUE(held);
    }
  }
}

TEST(Tiled, LeavesOutPagesWithNothingOnThem) {
  const Rings bar = {{{0, 0}, {500, 380}, {500, 400}, {0, 20}}};
  const Tiling tiling = tiled({{0, 0}, {500, 400}}, bar, {180, 150});
  EXPECT_EQ(tiling.columns * tiling.rows, 9U);
  EXPECT_LT(tiling.tiles.size(), 9U);
  EXPECT_EQ(tiling.at(0, 2), nullptr);
  EXPECT_EQ(tiling.at(0, 0)->name(), "A1");
  EXPECT_EQ(tiling.at(2, 2)->name(), "C3");
}

TEST(RegisterMarks, StandOnBothPagesOfEachOverlap) {
  const Rings shape = disc({200, 160}, 150);
  const Tiling tiling = tiled({{50, 10}, {350, 310}}, shape, {180, 120});
  const std::vector<Mark> marks = register_marks(tiling);
  std::map<std::string, int> seen;
  for (const Tile& tile : tiling.tiles) {
    for (const TextMark& text : texts_of(marks_inside(marks, tile.window))) ++seen[text.text];
  }
  EXPECT_EQ(seen.size(), texts_of(marks).size());
  for (const auto& [letter, pages] : seen) EXPECT_EQ(pages, 2) << letter;
}

TEST(MarksInside, CutsLinesAtTheWindowAndKeepsWordsWhole) {
  PathMark line;
  line.line_width_mm = 0.4;
  line.paths = {Path::polyline({{-50, 5}, {50, 5}, {50, 60}})};
  TextMark in, half;
  in.text = "in";
  in.at = {5, 8};
  half.text = "over the edge";
  half.at = {15, 8};
  const Box window{{0, 0}, {20, 20}};
  const std::vector<Mark> inside = marks_inside({line, in, half}, window);
  ASSERT_EQ(inside.size(), 2U);
  const Box cut = ink_box_of(inside[0]);
  EXPECT_TRUE(window.grown(1e-9).contains(cut));
  EXPECT_NEAR(cut.width(), 20.0, 1e-9);
}

TEST(TemplatePart, HoldsEachPlacementOnceInWhicheverPartItLies) {
  for (const PlacedFace& face : one_of_each_form()) {
    const FaceTemplate shape = face_template(face.face);
    std::vector<Mark> all;
    for (std::size_t i = 0; i < shape.parts.size(); ++i) {
      for (Mark& mark : template_part_marks(face, shape, i)) all.push_back(std::move(mark));
    }
    for (const Placement& p : face.placements) {
      EXPECT_EQ(bold_count(all, std::to_string(p.id)), 1) << name_of(face.face.form);
    }
  }
}

TEST(TemplatePart, IsAsWideAsTheTapeWasLong) {
  const PlacedFace face = decorated(face_of(CylinderFace{172.5, 120}), 4, 1, 20);
  const FaceTemplate shape = face_template(face.face);
  const Box cut = ink_box_of(outline_mark(shape.parts[0], 0.0));
  EXPECT_NEAR(cut.width(), 172.5, 1e-6);
  EXPECT_NEAR(cut.height(), 120.0, 1e-6);
}

TEST(TemplatePart, WordsLieOnNoLineAndOnNoOtherWords) {
  for (const FaceForm& form : {FaceForm{ConeFace{240, 372, 130}},
                               FaceForm{RingFace{160, 270}},
                               FaceForm{CylinderFace{372, 120}}}) {
    const PlacedFace face = decorated(face_of(form), 5, 1, 20);
    const std::vector<Mark> marks = template_part_marks(face, face_template(face.face), 0);
    const std::vector<TextMark> texts = texts_of(marks);
    EXPECT_GT(texts.size(), 12U);
    for (std::size_t i = 0; i < texts.size(); ++i) {
      for (const Box& box : text_boxes(texts[i])) {
        EXPECT_FALSE(line_through(marks, box)) << name_of(form) << ": " << texts[i].text;
        for (std::size_t j = i + 1; j < texts.size(); ++j) {
          for (const Box& other : text_boxes(texts[j])) EXPECT_FALSE(box.overlaps(other));
        }
      }
    }
  }
}

TEST(DivisionsOf, AreTheCopiesOfEachRow) {
  PlacedFace face = decorated(face_of(CylinderFace{372, 120}), 4, 1, 20);
  EXPECT_EQ(divisions_of(face), (std::vector<int>{4, 8}));
  FitReport border, band;
  band.style = border.style = "band";
  band.copies = 11;
  band.left_out = 1;
  border.copies = 24;
  face.reports = {border, band, band};
  EXPECT_EQ(divisions_of(face), (std::vector<int>{12, 24}));
}

TEST(DivisionMarks, StandOnRimsAndNotOnTheTipsOfGores) {
  const PlacedFace ball = decorated(face_of(BallFace{420}), 6, 1, 22);
  TemplateOptions gores;
  gores.kind = TemplateKind::gores;
  EXPECT_FALSE(has_division_marks(ball, face_template(ball.face, 1.0, gores)));
  const PlacedFace cone = decorated(face_of(ConeFace{240, 372, 130}), 6, 1, 22);
  const FaceTemplate net = face_template(cone.face);
  EXPECT_TRUE(has_division_marks(cone, net));
  int eighths = 0;
  for (const TextMark& text : texts_of(template_part_marks(cone, net, 0))) {
    eighths += text.text == "1/8" ? 1 : 0;
  }
  EXPECT_EQ(eighths, 2);  // at the foot and at the rim
}

TEST(DrawTemplate, KeepsWithinTheMarginsOnEveryFormAndPaper) {
  for (const PaperSize& paper : {custom_paper(150, 200), paper_size("Letter")}) {
    for (const PlacedFace& face : one_of_each_form()) {
      const FaceTemplate shape = face_template(face.face);
      const std::vector<Drawing> pages = draw_template("Harbour jar", face, shape, {paper, 10.0});
      ASSERT_FALSE(pages.empty());
      for (const Drawing& page : pages) {
        const Box printable{{10, 10}, {page.width_mm - 10, page.height_mm - 10}};
        for (const Mark& mark : page.marks) {
          EXPECT_TRUE(printable.grown(0.05).contains(ink_box_of(mark)))
              << name_of(face.face.form) << ' ' << paper.name << described(mark);
        }
      }
    }
  }
}

TEST(DrawTemplate, EachPageHasBothBarsAndSaysWhichItIs) {
  const PlacedFace face = decorated(face_of(RingFace{160, 270}), 9, 1, 26);
  const std::vector<Drawing> pages = draw_template("Harbour plate", face, face_template(face.face));
  ASSERT_EQ(pages.size(), 5U);  // four quarters after the page that tells how they join
  for (std::size_t i = 1; i < pages.size(); ++i) {
    int bars = 0;
    std::string title;
    for (const TextMark& text : texts_of(pages[i].marks)) {
      bars += text.text.rfind("100 mm", 0) == 0 ? 1 : 0;
      if (text.text.find("page ") != std::string::npos && text.align == Align::right) {
        title = text.text;
      }
    }
    EXPECT_EQ(bars, 2);
    const char* names[] = {"A1", "A2", "B1", "B2"};
    EXPECT_NE(title.find(names[i - 1]), std::string::npos) << title;
  }
}

TEST(DrawTemplate, RefusesPaperThatWouldBeAllOverlap) {
  const PlacedFace face = decorated(face_of(CylinderFace{372, 120}), 4, 1, 20);
  const FaceTemplate shape = face_template(face.face);
  EXPECT_THROW(draw_template("Jar", face, shape, {custom_paper(50, 60), 10.0}), GeometryError);
}

TEST(StrainWords, SayWhatTheMapMeasures) {
  EXPECT_EQ(strain_words(face_template(face_of(ConeFace{240, 372, 130}))),
            "the paper lies on the face without strain");
  const FaceTemplate bands = face_template(face_of(bellied_wall()));
  const std::string words = strain_words(bands);
  EXPECT_NE(words.find("% too long"), std::string::npos) << words;
  EXPECT_NE(words.find("true along"), std::string::npos) << words;
}

}  // namespace
}  // namespace underdraw
