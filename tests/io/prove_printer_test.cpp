// Sheets made for a printer are held to what that printer puts on paper.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <poppler-document.h>
#include <poppler-page-renderer.h>
#include <poppler-page.h>

#include "core/error.h"
#include "io/as_printed.h"
#include "io/prove_pdf.h"
#include "io/sheets_file.h"
#include "io/write_drawing.h"
#include "piece/face_template.h"
#include "sheet/draw_cover.h"
#include "sheet/draw_template.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/page_frame.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

const PrinterCorrection kLaser{"studio-laser", 0.995, 1.003};

SheetPlan plan_for(const std::optional<PrinterCorrection>& printer) {
  const std::vector<Motif> motifs = sample_motifs();
  SheetOptions options;
  options.paper = custom_paper(150.0, 180.0);
  options.printer = printer;
  return lay_out_sheets("Harbour jar", {jar_wall(motifs, 8)}, motifs, options);
}

ProofReport proof_of(const std::string& pdf, const SheetPlan& plan) {
  ProveOptions options;
  options.dpi = 400.0;
  return prove_pdf_bytes(pdf, "sheets.pdf", plan, options);
}

std::string reasons_of(const ProofReport& report) {
  std::string all;
  for (const std::string& reason : report.reasons) all += reason + "\n";
  return all;
}

TEST(ProvePrinter, SheetsMadeForAPrinterAreTrueAsItPrintsThem) {
  for (const PrinterCorrection& printer :
       {kLaser, PrinterCorrection{"old", 1.02, 0.985}, PrinterCorrection{"worst", 0.95, 1.05}}) {
    const SheetPlan plan = plan_for(printer);
    const ProofReport report = proof_of(sheets_pdf(plan), plan);
    EXPECT_TRUE(report.ok) << printer.name << "\n" << reasons_of(report);
    EXPECT_EQ(report.printer, printer.name);
    EXPECT_LT(report.largest_mm, 0.03) << printer.name;
    for (const SheetProof& sheet : report.sheets) {
      EXPECT_NEAR(sheet.across_mm.value(), 100.0, 0.04) << printer.name;
      EXPECT_NEAR(sheet.down_mm.value(), 100.0, 0.04) << printer.name;
    }
  }
}

TEST(ProvePrinter, SheetsThatDoNotMakeUpForTheirPrinterAreNotTrue) {
  const SheetPlan plan = plan_for(kLaser);
  const ProofReport report = proof_of(pdf_of_drawings(draw_pages(plan)), plan);
  EXPECT_FALSE(report.ok);
  EXPECT_NEAR(report.sheets.at(0).across_mm.value(), 99.5, 0.04);
  EXPECT_NEAR(report.sheets.at(0).down_mm.value(), 100.3, 0.04);
  EXPECT_NE(reasons_of(report).find("the bar across measures"), std::string::npos);
}

TEST(ProvePrinter, ThePlainSheetsAreNotTrueOnAPrinterHalfAPercentOff) {
  const SheetPlan plan = plan_for({});
  const std::string pdf = sheets_pdf(plan);
  EXPECT_TRUE(proof_of(pdf, plan).ok);
  const ProofReport report = proof_of(as_printed(pdf, {"any", 0.995, 0.995}, "sheets.pdf"), plan);
  EXPECT_FALSE(report.ok);
  EXPECT_NEAR(report.sheets.at(0).across_mm.value(), 99.5, 0.04);
  EXPECT_NEAR(report.sheets.at(0).down_mm.value(), 99.5, 0.04);
}

TEST(ProvePrinter, SheetsForAnotherPrinterAreNotTrue) {
  const SheetPlan plan = plan_for(kLaser);
  SheetPlan other = plan;
  other.options.printer = PrinterCorrection{"studio-laser", 1.0, 1.003};
  EXPECT_FALSE(proof_of(sheets_pdf(other), plan).ok);
}

TEST(ProvePrinter, ThePlanInsideThePdfKnowsItsPrinter) {
  const SheetPlan plan = plan_for(kLaser);
  const SheetPlan back = sheets_of_text(sheets_text(plan), "sheets.json");
  EXPECT_EQ(back.options.printer, kLaser);
  EXPECT_FALSE(sheets_of_text(sheets_text(plan_for({})), "sheets.json").options.printer);
  nlohmann::json damaged = nlohmann::json::parse(sheets_text(plan));
  damaged["printer"]["across"] = 1.2;
  EXPECT_THROW(sheets_of_text(damaged.dump(), "sheets.json"), InputError);
}

struct Ink {
  poppler::image image;
  double px_per_mm = 0.0;

  bool at(int x, int y) const {
    const auto* row = image.const_data() + y * image.bytes_per_row();
    return static_cast<unsigned char>(row[x]) < 128;
  }
};

Ink rendered(const std::string& pdf, int page_index, double dpi) {
  const std::unique_ptr<poppler::document> document(
      poppler::document::load_from_raw_data(pdf.data(), static_cast<int>(pdf.size())));
  const std::unique_ptr<poppler::page> page(document->create_page(page_index));
  poppler::page_renderer renderer;
  renderer.set_image_format(poppler::image::format_gray8);
  renderer.set_render_hint(poppler::page_renderer::antialiasing, true);
  return {renderer.render_page(page.get(), dpi, dpi), dpi / 25.4};
}

// Length of the longest run of ink in a column, mm; of a row when the picture is looked at turned.
double longest_line_mm(const Ink& ink, bool across) {
  const int lines = across ? ink.image.height() : ink.image.width();
  const int along = across ? ink.image.width() : ink.image.height();
  int longest = 0;
  for (int i = 0; i < lines; ++i) {
    int run = 0;
    for (int k = 0; k < along; ++k) {
      run = (across ? ink.at(k, i) : ink.at(i, k)) ? run + 1 : 0;
      longest = std::max(longest, run);
    }
  }
  return longest / ink.px_per_mm;
}

TEST(PrinterPagePdf, TheCheckPagePrintsItsBarsTrue) {
  const Drawing page = draw_printer_page(paper_size("A4"), kLaser);
  const std::string pdf = pdf_of_drawings({page}, {.title = "Check", .printer = kLaser});
  const Ink ink = rendered(as_printed(pdf, kLaser, "check.pdf"), 0, 300.0);
  // Below the bar its neighbour's end tick goes on for 2.5 mm; lines are 0.25 mm wide, with round
  // ends. A pixel is 0.085 mm.
  constexpr double kLine = kPrinterDownMm + 2.5 + 0.25;
  EXPECT_NEAR(longest_line_mm(ink, false), kLine, 0.17);
  const Ink sent = rendered(pdf, 0, 300.0);
  EXPECT_NEAR(longest_line_mm(sent, false), kLine / kLaser.down, 0.17);
}

// A template page on its side goes through the printer turned.
TEST(TemplateForAPrinter, BarsAreTrueOnUprightPagesAndOnPagesOnTheirSide) {
  const std::vector<Motif> motifs = sample_motifs();
  const PlacedFace wall = jar_wall(motifs, 12);
  const PrinterCorrection rough{"rough", 0.96, 1.03};
  const std::vector<Drawing> pages =
      draw_template("Harbour jar",
                    wall,
                    face_template(wall.face, 1.0),
                    {.paper = paper_size("A4"), .margin_mm = 10.0, .printer = rough});
  const std::string pdf = as_printed(
      pdf_of_drawings(pages, {.title = "Template", .printer = rough}), rough, "template.pdf");
  int on_their_side = 0;
  for (std::size_t i = 0; i < pages.size(); ++i) {
    SheetOptions options;
    options.paper = paper_size("A4");
    options.printer = rough;
    if (pages[i].width_mm > pages[i].height_mm) {
      std::swap(options.paper.width_mm, options.paper.height_mm);
      ++on_their_side;
    }
    SheetPlan plan;
    plan.options = options;
    plan.frame = frame_of(options);
    plan.sheets.push_back({"wall", {}});
    const Ink ink = rendered(pdf, static_cast<int>(i), 300.0);
    const GreyView view{reinterpret_cast<const std::uint8_t*>(ink.image.const_data()),
                        ink.image.width(),
                        ink.image.height(),
                        static_cast<std::size_t>(ink.image.bytes_per_row()),
                        ink.px_per_mm};
    const SheetProof proof = measure_sheet(plan, 0, view, {});
    EXPECT_NEAR(proof.across_mm.value(), 100.0, 0.03) << i;
    EXPECT_NEAR(proof.down_mm.value(), 100.0, 0.03) << i;
    EXPECT_TRUE(proof.sign_right) << i;
    EXPECT_EQ(proof.margin_ink_mm2, 0.0) << i;
  }
  EXPECT_GT(on_their_side, 0);
}

}  // namespace
}  // namespace underdraw
