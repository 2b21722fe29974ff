#include "sheet/lay_out_sheets.h"

#include <set>

#include <gtest/gtest.h>

#include "core/error.h"
#include "sheet/decorated_faces.h"
#include "sheet/draw_cover.h"
#include "sheet/draw_map.h"
#include "sheet/proof.h"
#include "sheet/sheet_samples.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

SheetPlan sample_plan(int count, const SheetOptions& options, double height_mm = 45.0) {
  const std::vector<Motif> motifs = sample_motifs();
  return lay_out_sheets("Harbour jar", {jar_wall(motifs, count, height_mm)}, motifs, options);
}

std::vector<SheetOptions> papers_and_methods() {
  std::vector<SheetOptions> all;
  for (const std::string& name : paper_names()) {
    for (const std::string& method : transfer_names()) {
      SheetOptions options;
      options.paper = paper_size(name);
      options.method = transfer_method(method);
      all.push_back(options);
    }
  }
  return all;
}

TEST(LayOutSheets, EveryPlacementIsOnExactlyOneSheetAndThePlanHasNoFault) {
  for (const SheetOptions& options : papers_and_methods()) {
    const SheetPlan plan = sample_plan(30, options);
    EXPECT_TRUE(check_plan(plan).empty()) << options.paper.name << check_plan(plan).front();
    std::multiset<int> seen;
    for (const Sheet& sheet : plan.sheets) {
      for (const CutOut& c : sheet.cut_outs) seen.insert(c.placement);
    }
    EXPECT_EQ(seen.size(), 30U);
    EXPECT_EQ(std::set<int>(seen.begin(), seen.end()).size(), 30U);
  }
}

TEST(LayOutSheets, TurningCutOutsSavesASheetAndThePlanHasNoFault) {
  SheetOptions options;
  options.paper = custom_paper(160.0, 200.0);
  const std::size_t upright = sample_plan(16, options, 60.0).sheets.size();
  options.turn = CutOutTurn::free;
  const SheetPlan turned = sample_plan(16, options, 60.0);
  EXPECT_LT(turned.sheets.size(), upright);
  EXPECT_TRUE(check_plan(turned).empty()) << check_plan(turned).front();
  bool any = false;
  for (const Sheet& sheet : turned.sheets) {
    for (const CutOut& c : sheet.cut_outs) any = any || c.turn_deg != 0.0;
  }
  EXPECT_TRUE(any);
}

TEST(LayOutSheets, NothingIsDrawnOutsideTheMargins) {
  for (SheetOptions options : papers_and_methods()) {
    options.margin_mm = 5.0 + 4.0 * static_cast<int>(options.method);
    const SheetPlan plan = sample_plan(14, options);
    for (const Drawing& page : draw_pages(plan)) {
      EXPECT_EQ(page.width_mm, options.paper.width_mm);
      EXPECT_EQ(page.height_mm, options.paper.height_mm);
      for (const Mark& mark : page.marks) {
        EXPECT_TRUE(plan.frame.printable.grown(0.05).contains(ink_box_of(mark)))
            << options.paper.name << " " << transfer_name(options.method);
      }
    }
  }
}

TEST(LayOutSheets, BarsAreAHundredMillimetresOrTheMostThatFits) {
  const SheetPlan a4 = sample_plan(4, {});
  EXPECT_NEAR(a4.frame.across.length_mm(), 100.0, 1e-9);
  EXPECT_NEAR(a4.frame.down.length_mm(), 100.0, 1e-9);
  SheetOptions small;
  small.paper = custom_paper(90.0, 110.0);
  const SheetPlan plan = sample_plan(4, small, 20.0);
  EXPECT_NEAR(plan.frame.across.length_mm(), 60.0, 1e-9);  // 70 inside the margins, less the inset
  EXPECT_NEAR(plan.frame.down.length_mm(), 70.0, 1e-9);    // 90 inside, less head and foot
  LookOfMotifs looks;
  const Drawing page = draw_sheet(plan, 0, looks);
  int said = 0;
  for (const Mark& mark : page.marks) {
    const auto* text = std::get_if<TextMark>(&mark);
    if (text == nullptr) continue;
    said += text->text.rfind("60 mm", 0) == 0 || text->text.rfind("70 mm", 0) == 0;
  }
  EXPECT_EQ(said, 2);
}

TEST(LayOutSheets, ACutOutThatNoCountOfPartsGetsOnPaperIsNamedWithSizeRoomAndRemedy) {
  const std::vector<Motif> motifs = sample_motifs();
  PlacedFace wall = jar_wall(motifs, 4);
  wall.placements[0].change.scale = 1500.0 / motifs[0].height_mm;
  try {
    lay_out_sheets("Harbour jar", {wall}, motifs, {});
    FAIL() << "a motif of 1500 mm was accepted on A4";
  } catch (const GeometryError& e) {
    const std::string text = e.what();
    EXPECT_NE(text.find("placement 1 (kelp"), std::string::npos) << text;
    EXPECT_NE(text.find("A4"), std::string::npos) << text;
    EXPECT_NE(text.find("or 24 parts of that"), std::string::npos) << text;
    EXPECT_NE(text.find("choose larger paper or a smaller height"), std::string::npos) << text;
  }
}

TEST(LayOutSheets, WhatIsLargerThanASheetComesInPartsAndAWarningSaysSo) {
  const std::vector<Motif> motifs = sample_motifs();
  PlacedFace wall = jar_wall(motifs, 4);
  wall.placements[0].change.scale = 260.0 / motifs[0].height_mm;
  const SheetPlan plan = lay_out_sheets("Harbour jar", {wall}, motifs, {});
  EXPECT_TRUE(check_plan(plan).empty()) << check_plan(plan).front();
  ASSERT_EQ(plan.warnings.size(), 1U);
  EXPECT_EQ(plan.warnings[0],
            "placement 1 is larger than a sheet of A4 and comes in 2 parts, to be joined by their "
            "crosses; A3 would take it whole");
  std::size_t parts = 0;
  for (const Sheet& sheet : plan.sheets) {
    for (const CutOut& cut_out : sheet.cut_outs) parts += cut_out.part ? 1 : 0;
  }
  EXPECT_EQ(parts, 2U);
  EXPECT_TRUE(lay_out_sheets("Harbour jar", {jar_wall(motifs, 4)}, motifs, {}).warnings.empty());
}

TEST(LayOutSheets, NoPlacementAtAllIsRefused) {
  const std::vector<Motif> motifs = sample_motifs();
  EXPECT_THROW(lay_out_sheets("Jar", {}, motifs, {}), GeometryError);
  EXPECT_THROW(lay_out_sheets("Jar", {jar_wall(motifs, 4)}, {}, {}), GeometryError);
}

TEST(LayOutSheets, AMirroredPrintFlipsTheDrawingAndNotItsWords) {
  SheetOptions carbon;
  SheetOptions face_down;
  face_down.method = TransferMethod::face_down;
  const SheetPlan a = sample_plan(4, carbon);
  const SheetPlan b = sample_plan(4, face_down);
  const CutOut& x = a.sheets[0].cut_outs[0];
  const CutOut& y = b.sheets[0].cut_outs[0];
  ASSERT_EQ(x.placement, y.placement);
  EXPECT_GT(x.sheet_from_motif.determinant(), 0.0);
  EXPECT_LT(y.sheet_from_motif.determinant(), 0.0);
  ASSERT_EQ(x.labels.size(), y.labels.size());
  for (std::size_t i = 0; i < x.labels.size(); ++i) {
    const auto* s = std::get_if<TextMark>(&x.labels[i]);
    const auto* t = std::get_if<TextMark>(&y.labels[i]);
    if (s == nullptr || t == nullptr) continue;
    EXPECT_EQ(s->text, t->text);
    EXPECT_EQ(s->turn_deg, t->turn_deg);
  }
}

TEST(DrawCover, ListsEveryPlacementOverAsManyPagesAsItTakes) {
  const SheetPlan plan = sample_plan(240, {}, 12.0);
  const std::vector<Drawing> cover = draw_cover(plan);
  EXPECT_EQ(static_cast<int>(cover.size()), plan.cover_pages);
  EXPECT_GT(cover.size(), 1U);
  std::multiset<std::string> wheres;
  for (const Drawing& page : cover) {
    for (const Mark& mark : page.marks) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text != nullptr && text->text.find("°, s ") != std::string::npos) {
        wheres.insert(text->text);
      }
    }
  }
  EXPECT_EQ(wheres.size(), 240U);
}

TEST(DrawCover, CarriesEveryCautionAndTheFlip) {
  SheetOptions options;
  options.method = TransferMethod::tissue;
  std::string words;
  for (const Drawing& page : draw_cover(sample_plan(4, options))) {
    for (const Mark& mark : page.marks) {
      if (const auto* text = std::get_if<TextMark>(&mark)) words += text->text + " ";
    }
  }
  for (const char* word : {"silica",
                           "fumes",
                           "food-safe",
                           "knives",
                           "children",
                           "100 %",
                           "printed mirrored",
                           "licensed installer",
                           "data sheets",
                           "local rules"}) {
    EXPECT_NE(words.find(word), std::string::npos) << word;
  }
}

TEST(DrawCover, EvenTheSmallestPaperHasAnEnd) {
  const std::vector<Motif> motifs = sample_motifs();
  SheetPlan plan = sample_plan(4, {});
  plan.options.paper = custom_paper(50.0, 50.0);
  plan.frame.printable = {{10, 10}, {40, 40}};
  EXPECT_GT(draw_cover(plan).size(), 1U);
}

TEST(DrawMaps, StatesAScaleAtWhichTheTemplateFits) {
  const std::vector<Motif> motifs = sample_motifs();
  const PlacedFace wall = jar_wall(motifs, 12);
  const Box box{{10, 20}, {200, 150}};
  const FaceMap map = face_map(wall, motifs, box);
  EXPECT_GT(map.scale, 0.35);
  EXPECT_LT(map.scale * wall.surface.widest_mm(), box.width());
  for (const Mark& mark : map.marks) {
    EXPECT_TRUE(box.grown(0.01).contains(ink_box_of(mark)));
  }
  EXPECT_EQ(scale_words(0.4), "scale 40 %");
  EXPECT_EQ(scale_words(1.0), "true size");
}

TEST(DrawMaps, EachPlacementHasItsNumberOnce) {
  const std::vector<Motif> motifs = sample_motifs();
  const FaceMap map = face_map(jar_wall(motifs, 12), motifs, {{10, 20}, {280, 150}});
  std::multiset<std::string> bold;
  for (const Mark& mark : map.marks) {
    const auto* text = std::get_if<TextMark>(&mark);
    if (text != nullptr && text->bold) bold.insert(text->text);
  }
  ASSERT_EQ(bold.size(), 12U);
  for (int i = 1; i <= 12; ++i) EXPECT_EQ(bold.count(std::to_string(i)), 1U);
}

TEST(DrawMaps, TurnsThePageForAWideFace) {
  const std::vector<Motif> motifs = sample_motifs();
  const std::vector<Drawing> pages = draw_maps("Jar", {jar_wall(motifs, 12)}, motifs);
  ASSERT_EQ(pages.size(), 1U);
  EXPECT_EQ(pages[0].width_mm, 297.0);
}

}  // namespace
}  // namespace underdraw
