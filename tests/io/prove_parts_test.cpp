// Placements in parts, read back from the PDF: true ones pass, and every planted fault is found.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "io/prove_pdf.h"
#include "io/sheets_file.h"
#include "io/write_drawing.h"
#include "sheet/cut_out.h"
#include "sheet/draw_cover.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

// The first of three is too large for the paper, in both directions.
SheetPlan plan_for(TransferMethod method, CutOutTurn turn) {
  const std::vector<Motif> motifs = sample_motifs();
  PlacedFace wall = jar_wall(motifs, 3);
  wall.placements[0].change.scale = 250.0 / motifs[0].height_mm;
  SheetOptions options;
  options.paper = custom_paper(150.0, 180.0);
  options.method = method;
  options.turn = turn;
  return lay_out_sheets("Harbour jar", {wall}, motifs, options);
}

std::string reasons_of(const ProofReport& report) {
  std::string all;
  for (const std::string& reason : report.reasons) all += reason + "\n";
  return all;
}

ProofReport proof_of(const std::vector<Drawing>& pages, const SheetPlan& plan) {
  ProveOptions options;
  options.dpi = 400.0;
  return prove_pdf_bytes(pdf_of_drawings(pages), "sheets.pdf", plan, options);
}

class ProveParts : public ::testing::Test {
 protected:
  CutOut& part(int number) {
    for (Sheet& sheet : printed_.sheets) {
      for (CutOut& c : sheet.cut_outs) {
        if (c.placement == 1 && c.part && c.part->number == number) return c;
      }
    }
    throw std::logic_error("no such part");
  }
  void expect_fault(const std::string& words) const {
    const ProofReport report = proof_of(draw_pages(printed_), plan_);
    EXPECT_FALSE(report.ok);
    EXPECT_NE(reasons_of(report).find(words), std::string::npos) << reasons_of(report);
  }
  int sheet_with(int number) const {
    for (std::size_t i = 0; i < plan_.sheets.size(); ++i) {
      for (const CutOut& c : plan_.sheets[i].cut_outs) {
        if (c.part && c.part->number == number) return static_cast<int>(i) + 1;
      }
    }
    return 0;
  }
  // The register crosses are the one mark of their pen.
  PathMark& crosses(CutOut& c) {
    for (Mark& mark : c.labels) {
      auto* path = std::get_if<PathMark>(&mark);
      if (path != nullptr && path->line_width_mm == 0.2 && !path->filled) return *path;
    }
    throw std::logic_error("no crosses");
  }

  const SheetPlan plan_ = plan_for(TransferMethod::carbon, CutOutTurn::none);
  SheetPlan printed_ = plan_;  // tests put their fault in here
};

TEST_F(ProveParts, TrueOnesPassAndTheirCrossesAgree) {
  const ProofReport report = proof_of(draw_pages(plan_), plan_);
  EXPECT_TRUE(report.ok) << reasons_of(report);
  EXPECT_EQ(report.placements, 3U);  // in parts or not
  EXPECT_LT(report.largest_mm, 0.04);
  std::size_t parts = 0;
  for (const SheetProof& sheet : report.sheets) {
    for (const PlacementProof& p : sheet.placements) {
      if (!p.part) continue;
      ++parts;
      EXPECT_TRUE(p.part->words_found);
      EXPECT_GE(p.part->crosses, 1U);
      EXPECT_LT(p.part->cross_mm, 0.04);  // two neighbours agree to twice that, 0.08 mm
      EXPECT_EQ(p.part->crosses_missing, 0.0);
    }
  }
  EXPECT_EQ(parts, 6U);
  EXPECT_NE(proof_text(report).find("\"cross_mm\""), std::string::npos);
}

void expect_true_parts(TransferMethod method, CutOutTurn turn) {
  const SheetPlan plan = plan_for(method, turn);
  const ProofReport report = proof_of(draw_pages(plan), plan);
  EXPECT_TRUE(report.ok) << reasons_of(report);
}

TEST(ProvePartsOtherwise, MirroredOnesPass) {
  expect_true_parts(TransferMethod::face_down, CutOutTurn::none);
}

TEST(ProvePartsOtherwise, TurnedOnesPass) {
  expect_true_parts(TransferMethod::carbon, CutOutTurn::free);
}

TEST(ProvePartsOtherwise, PrickedOnesPass) {
  expect_true_parts(TransferMethod::pricked, CutOutTurn::none);
}

TEST(ProvePartsOtherwise, OnesForAPrinterPass) {
  SheetPlan plan = plan_for(TransferMethod::carbon, CutOutTurn::none);
  SheetOptions options = plan.options;
  options.printer = PrinterCorrection{"studio-laser", 0.99, 1.004};
  plan = lay_out_sheets("Harbour jar", plan.faces, plan.motifs, options);
  ProveOptions prove;
  prove.dpi = 400.0;
  const ProofReport report = prove_pdf_bytes(sheets_pdf(plan), "sheets.pdf", plan, prove);
  EXPECT_TRUE(report.ok) << reasons_of(report);
}

TEST_F(ProveParts, ACrossOutOfPlaceIsFound) {
  for (Path& line : crosses(part(1)).paths)
    line = transformed(line, Affine::translate({0.15, 0.0}));
  expect_fault(fmt::format(
      "placement 1 part 1 of 6 (kelp, sheet {}) has a register cross that is off by 0.1",
      sheet_with(1)));
}

TEST_F(ProveParts, ACrossThatIsGoneIsFound) {
  crosses(part(2)).paths.resize(2);
  expect_fault("% of its register crosses");
}

TEST_F(ProveParts, PartsWithEachOthersWordsAreFound) {
  std::get<TextMark>(part(2).labels.at(1)).text = "part 3 of 6";
  std::get<TextMark>(part(3).labels.at(1)).text = "part 2 of 6";
  expect_fault("placement 1 part 2 of 6 (kelp, sheet");
  expect_fault("does not say which part it is");
}

TEST_F(ProveParts, APartWhoseDrawingMovedIsFound) {
  CutOut& c = part(1);
  const Affine move = Affine::translate({0.6, 0.8});
  c.sheet_from_motif = move * c.sheet_from_motif;
  expect_fault(
      fmt::format("placement 1 part 1 of 6 (kelp, sheet {}) is off by up to", sheet_with(1)));
}

TEST_F(ProveParts, APartThatShowsAnotherPartsDrawingIsFound) {
  CutOut& c = part(1);
  const Box& other = part(6).part->window;
  const Vec2 move = other.min - c.part->window.min;
  c.part->window = other;
  c.sheet_from_motif = Affine::translate(-move) * c.sheet_from_motif;
  c.part->sheet_from_print = Affine::translate(-move) * c.part->sheet_from_print;
  expect_fault("placement 1 part 1 of 6");
}

TEST_F(ProveParts, AMissingPartIsFound) {
  for (Sheet& sheet : printed_.sheets) {
    std::erase_if(sheet.cut_outs, [](const CutOut& c) {
      return c.placement == 1 && c.part && c.part->number == 3;
    });
  }
  expect_fault("placement 1 part 3 of 6 (kelp, sheet");
  expect_fault("is not printed where it should be");
}

}  // namespace
}  // namespace underdraw
