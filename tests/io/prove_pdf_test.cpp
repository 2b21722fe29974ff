// The proof must pass what is true and find every planted fault: each fault is put into the drawing
// while the plan stays as it was.
#include "io/prove_pdf.h"

#include <filesystem>
#include <fstream>

#include <gtest/gtest.h>
#include <unistd.h>

#include "core/error.h"
#include "io/sheets_file.h"
#include "io/write_drawing.h"
#include "sheet/cut_out.h"
#include "sheet/draw_cover.h"
#include "sheet/lay_out_sheets.h"
#include "sheet/shapes.h"
#include "sheet/sheet_samples.h"

namespace underdraw {
namespace {

SheetPlan small_plan(TransferMethod method = TransferMethod::carbon) {
  const std::vector<Motif> motifs = sample_motifs();
  SheetOptions options;
  options.paper = custom_paper(150.0, 180.0);
  options.method = method;
  return lay_out_sheets("Harbour jar", {jar_wall(motifs, 8)}, motifs, options);
}

ProofReport proof_of(const std::vector<Drawing>& pages, const SheetPlan& plan) {
  ProveOptions options;
  options.dpi = 400.0;  // quicker than 600, still 16 pixels a millimetre
  return prove_pdf_bytes(pdf_of_drawings(pages), "sheets.pdf", plan, options);
}

std::string reasons_of(const ProofReport& report) {
  std::string all;
  for (const std::string& reason : report.reasons) all += reason + "\n";
  return all;
}

void expect_fault(const ProofReport& report, const std::string& words) {
  EXPECT_FALSE(report.ok);
  EXPECT_NE(reasons_of(report).find(words), std::string::npos) << reasons_of(report);
}

class ProvePdf : public ::testing::Test {
 protected:
  CutOut& cut_out(int placement) {
    for (Sheet& sheet : printed_.sheets) {
      for (CutOut& c : sheet.cut_outs) {
        if (c.placement == placement) return c;
      }
    }
    throw std::logic_error("no such placement");
  }
  ProofReport proof() const { return proof_of(draw_pages(printed_), plan_); }

  const SheetPlan plan_ = small_plan();
  SheetPlan printed_ = plan_;  // tests put their fault in here
};

TEST_F(ProvePdf, ATruePdfPassesWithDeviationsFarBelowTheLimit) {
  const ProofReport report = proof();
  EXPECT_TRUE(report.ok) << reasons_of(report);
  EXPECT_EQ(report.placements, 8U);
  EXPECT_GT(report.mean_mm, 0.0);
  EXPECT_LT(report.largest_mm, 0.02);
  for (const SheetProof& sheet : report.sheets) {
    EXPECT_NEAR(sheet.across_mm.value(), 100.0, 0.1);
    EXPECT_NEAR(sheet.down_mm.value(), 100.0, 0.1);
    for (const PlacementProof& p : sheet.placements) {
      EXPECT_GT(p.samples, 300U);
      EXPECT_GT(p.measured_share, 0.5) << p.motif;
      EXPECT_EQ(p.missing_share, 0.0) << p.motif;
    }
  }
}

TEST_F(ProvePdf, AMirroredMethodPassesToo) {
  const SheetPlan plan = small_plan(TransferMethod::face_down);
  const ProofReport report = proof_of(draw_pages(plan), plan);
  EXPECT_TRUE(report.ok) << reasons_of(report);
}

TEST(ProvePdfPricked, HolesAreMeasuredAndTheirFaultsFound) {
  const SheetPlan plan = small_plan(TransferMethod::pricked);
  const ProofReport report = proof_of(draw_pages(plan), plan);
  EXPECT_TRUE(report.ok) << reasons_of(report);
  EXPECT_LT(report.largest_mm, 0.05);
  SheetPlan printed = plan;
  CutOut& first = printed.sheets[0].cut_outs[0];
  CutOut& second = printed.sheets[0].cut_outs[2];
  first.sheet_from_motif = Affine::translate({1.0, 0.0}) * first.sheet_from_motif;
  const double middle = motif_named(plan.motifs, second.motif).centre().x;
  second.sheet_from_motif = second.sheet_from_motif * Affine::translate({middle, 0.0}) *
                            Affine::mirror_x() * Affine::translate({-middle, 0.0});
  const std::string reasons = reasons_of(proof_of(draw_pages(printed), plan));
  EXPECT_NE(reasons.find("1.00 mm out of place"), std::string::npos) << reasons;
  EXPECT_NE(reasons.find("wrong way round"), std::string::npos) << reasons;
}

// Four cut-outs, each turned in a corner of its own, with numbers of one to three digits.
SheetPlan turned_plan(double first_turn_deg, CutOutTurn allowed) {
  const std::vector<Motif> motifs = sample_motifs();
  SheetOptions options;
  options.paper = custom_paper(260.0, 300.0);
  options.turn = allowed;
  PlacedFace wall = jar_wall(motifs, 4);
  wall.placements[1].id = 17;
  wall.placements[2].id = 66;
  wall.placements[3].id = 108;
  SheetPlan plan = lay_out_sheets("Harbour jar", {wall}, motifs, options);
  std::vector<CutOut>& cut_outs = plan.sheets.at(0).cut_outs;
  const Box work = plan.frame.work;
  for (std::size_t i = 0; i < cut_outs.size(); ++i) {
    const Vec2 to{work.min.x + work.width() * (i % 2 == 0 ? 0.27 : 0.73),
                  work.min.y + work.height() * (i < 2 ? 0.27 : 0.73)};
    const double turn = allowed == CutOutTurn::free ? first_turn_deg + 85.0 * static_cast<double>(i)
                                                    : first_turn_deg;
    cut_outs[i] = moved(cut_outs[i],
                        Affine::translate(to) * Affine::turn_deg(turn) *
                            Affine::translate(-cut_outs[i].area.centre()));
  }
  return plan;
}

TEST(ProvePdfTurned, CutOutsTurnedAsTheyMayBePass) {
  for (const double turn : {0.0, 4.0, 20.0, 45.0, 63.0}) {
    const SheetPlan plan = turned_plan(turn, CutOutTurn::free);
    const ProofReport report = proof_of(draw_pages(plan), plan);
    EXPECT_TRUE(report.ok) << turn << ": " << reasons_of(report);
    EXPECT_LT(report.largest_mm, 0.05) << turn;
  }
  const SheetPlan half = turned_plan(180.0, CutOutTurn::half);
  const ProofReport report = proof_of(draw_pages(half), half);
  EXPECT_TRUE(report.ok) << reasons_of(report);
}

TEST(ProvePdfTurned, FaultsAreFoundOnTurnedCutOutsToo) {
  const SheetPlan plan = turned_plan(33.0, CutOutTurn::free);
  SheetPlan printed = plan;
  std::get<TextMark>(printed.sheets[0].cut_outs[1].labels.front()).text = "71";
  const Motif& knot = printed.motifs[3];
  CutOut& last = printed.sheets[0].cut_outs[3];
  ASSERT_EQ(last.motif, knot.name);
  last.sheet_from_motif = Affine::translate({0.7, 0.7}) * last.sheet_from_motif;
  const ProofReport report = proof_of(draw_pages(printed), plan);
  expect_fault(report, "placement 17 (scallop, sheet 1) does not carry its number");
  expect_fault(report, "placement 108 (rope knot, sheet 1) lies 0.99 mm out of place");
}

TEST(ProvePdfTurned, ATurnThatIsNotAllowedIsAFault) {
  SheetPlan plan = turned_plan(180.0, CutOutTurn::half);
  plan.options.turn = CutOutTurn::none;
  expect_fault(proof_of(draw_pages(plan), plan), "or is turned");
  plan = turned_plan(10.0, CutOutTurn::free);
  plan.options.turn = CutOutTurn::half;
  expect_fault(proof_of(draw_pages(plan), plan), "or is turned");
}

// Letters that reach out of their own width, and accents above capitals.
TEST(ProvePdfNames, NoNameReachesIntoTheMargin) {
  const std::vector<Motif> motifs = sample_motifs();
  SheetOptions options;
  options.paper = custom_paper(150.0, 180.0);
  for (const std::string name : {"Jar", "jĵf", "Ĵug", "Ångström ď", "ŮŰÎî", "W"}) {
    PlacedFace wall = jar_wall(motifs, 2);
    wall.face.name = name;
    std::string piece;
    for (int i = 0; i < 40; ++i) piece += name;  // far too long: has to be cut short
    for (const std::string& title : {name, piece}) {
      const SheetPlan plan = lay_out_sheets(title, {wall}, motifs, options);
      const ProofReport report = proof_of(draw_pages(plan), plan);
      EXPECT_TRUE(report.ok) << title << "\n" << reasons_of(report);
    }
  }
}

TEST_F(ProvePdf, FindsAScaleHalfAPercentTooLarge) {
  std::vector<Drawing> pages = draw_pages(plan_);
  for (Drawing& page : pages) {
    for (Mark& mark : page.marks) {
      mark = moved(
          mark, Affine::translate({10, 10}) * Affine::scale(1.005) * Affine::translate({-10, -10}));
    }
  }
  const ProofReport report = proof_of(pages, plan_);
  expect_fault(report, "the bar across measures");
  expect_fault(report, "the bar down measures");
  EXPECT_NEAR(report.sheets[0].across_mm.value(), 100.5, 0.05);
  EXPECT_NEAR(report.sheets[0].down_mm.value(), 100.5, 0.05);
  EXPECT_GT(report.largest_mm, 0.2);
}

TEST_F(ProvePdf, FindsAMotifOneMillimetreOutOfPlace) {
  CutOut& c = cut_out(3);
  c.sheet_from_motif = Affine::translate({0.8, -0.6}) * c.sheet_from_motif;
  const ProofReport report = proof();
  expect_fault(report, "placement 3 (tern feather");
  for (const SheetProof& sheet : report.sheets) {
    for (const PlacementProof& p : sheet.placements) {
      if (p.placement != 3) {
        EXPECT_FALSE(p.displaced_mm);
        continue;
      }
      ASSERT_TRUE(p.displaced_mm);
      EXPECT_NEAR(p.displaced_mm->x, 0.8, 0.1);
      EXPECT_NEAR(p.displaced_mm->y, -0.6, 0.1);
      EXPECT_NEAR(p.largest_mm, 1.0, 0.15);
    }
  }
}

TEST_F(ProvePdf, MeasuresASmallShiftAndHoldsItAgainstTheLimit) {
  CutOut& c = cut_out(2);
  const Affine true_place = c.sheet_from_motif;
  c.sheet_from_motif = Affine::translate({0.15, 0.0}) * true_place;
  const ProofReport near = proof();
  EXPECT_TRUE(near.ok) << reasons_of(near);
  EXPECT_NEAR(near.largest_mm, 0.15, 0.02);
  c.sheet_from_motif = Affine::translate({0.24, 0.0}) * true_place;
  expect_fault(proof(), "placement 2 (scallop, sheet");
}

// Hatching so dense that no line stands alone within reach.
TEST(ProvePdfDense, ADrawingWithoutFreeLinesIsStillHeldToItsPlace) {
  Linework lines;
  for (int i = 0; i < 40; ++i) {
    lines.strokes.push_back(sheet_samples::bowed({0.6 * i, 0}, {0.6 * i + 4, 30}, 0.1, 0.3));
  }
  for (int i = 0; i < 50; ++i) {
    lines.strokes.push_back(sheet_samples::bowed({0, 0.6 * i}, {27, 0.6 * i}, 0.1, 0.3));
  }
  const std::vector<Motif> motifs = {make_motif("net", lines)};
  SheetOptions options;
  options.paper = custom_paper(150.0, 180.0);
  const SheetPlan plan = lay_out_sheets("Jar", {jar_wall(motifs, 2, 30.0)}, motifs, options);
  const ProofReport good = proof_of(draw_pages(plan), plan);
  EXPECT_TRUE(good.ok) << reasons_of(good);
  SheetPlan printed = plan;
  CutOut& c = printed.sheets[0].cut_outs[0];
  c.sheet_from_motif = Affine::translate({0.25, 0.2}) * c.sheet_from_motif;
  EXPECT_FALSE(proof_of(draw_pages(printed), plan).ok);
}

TEST_F(ProvePdf, FindsAMissingCutOut) {
  for (Sheet& sheet : printed_.sheets) {
    std::erase_if(sheet.cut_outs, [](const CutOut& c) { return c.placement == 5; });
  }
  const ProofReport report = proof();
  expect_fault(report, "placement 5 (kelp");
  expect_fault(report, "is not printed where it should be");
}

TEST_F(ProvePdf, FindsAMirroredCutOut) {
  CutOut& c = cut_out(1);
  const double width = motif_named(plan_.motifs, c.motif).width_mm;
  c.sheet_from_motif = c.sheet_from_motif * Affine::translate({width, 0.0}) * Affine::mirror_x();
  const ProofReport report = proof();
  expect_fault(report, "placement 1 (kelp");
  expect_fault(report, "wrong way round");
}

TEST_F(ProvePdf, FindsSwappedNumbers) {
  for (const auto& [from, to] : {std::pair{1, "5"}, std::pair{5, "1"}}) {
    std::get<TextMark>(cut_out(from).labels.front()).text = to;
  }
  const ProofReport report = proof();
  expect_fault(report, "placement 1 (kelp, sheet 1) does not carry its number");
  expect_fault(report, "placement 5 (kelp, sheet 1) does not carry its number");
}

TEST_F(ProvePdf, FindsSomethingDrawnIntoTheMargin) {
  std::vector<Drawing> pages = draw_pages(plan_);
  PathMark dot;
  dot.paths = {Path{{{5.0, 90.0}}, false}};
  pages.back().marks.emplace_back(dot);
  expect_fault(proof_of(pages, plan_), "outside the margins");
  pages.back().marks.pop_back();
  pages.front().marks.emplace_back(dot);
  expect_fault(proof_of(pages, plan_), "cover page 1");
}

TEST_F(ProvePdf, FindsALineThatNobodyAskedForAndOneThatIsGone) {
  std::vector<Drawing> pages = draw_pages(plan_);
  const CutOut& c = plan_.sheets[0].cut_outs[0];
  PathMark scratch;
  const Vec2 corner{c.area.min.x + 4.0, c.area.min.y + 4.0};
  scratch.paths = {line_between(corner, corner + Vec2{2.0, 3.0})};
  Drawing& sheet = pages[static_cast<std::size_t>(plan_.cover_pages)];
  sheet.marks.emplace_back(scratch);
  expect_fault(proof_of(pages, plan_), "of ink that it does not ask for");

  Motif& kelp = printed_.motifs[0];
  ASSERT_EQ(kelp.name, "kelp");
  kelp.lines.strokes.erase(kelp.lines.strokes.begin() + 3);
  expect_fault(proof(), "% of its lines");
}

TEST_F(ProvePdf, FindsInkBetweenCutOuts) {
  std::vector<Drawing> pages = draw_pages(plan_);
  PathMark stray;
  const Box work = plan_.frame.work;
  Box free{work.max - Vec2{5.0, 5.0}, work.max - Vec2{1.0, 1.0}};
  const auto taken = [&](const CutOut& c) { return c.area.grown(1.0).overlaps(free); };
  const std::vector<CutOut>& last = plan_.sheets.back().cut_outs;
  while (std::any_of(last.begin(), last.end(), taken)) {
    free = {free.min - Vec2{2.0, 0.0}, free.max - Vec2{2.0, 0.0}};
    if (free.min.x < work.min.x) {
      free = {{work.max.x - 5.0, free.min.y - 2.0}, {work.max.x - 1.0, free.max.y - 2.0}};
    }
    ASSERT_GT(free.min.y, work.min.y);
  }
  stray.paths = {line_between(free.min, free.max)};
  pages.back().marks.emplace_back(stray);
  expect_fault(proof_of(pages, plan_), "between the cut-outs");
}

TEST_F(ProvePdf, FindsAPageThatWasPrintedMirrored) {
  std::vector<Drawing> pages = draw_pages(plan_);
  for (Mark& mark : pages.back().marks) {
    mark = moved(mark, Affine::translate({150.0, 0.0}) * Affine::mirror_x());
  }
  const ProofReport report = proof_of(pages, plan_);
  expect_fault(report, "reading sign");
  expect_fault(report, "bar across");
}

TEST_F(ProvePdf, FindsAWrongPaperSizeAndAMissingPage) {
  std::vector<Drawing> pages = draw_pages(plan_);
  pages.back().width_mm = 151.0;
  expect_fault(proof_of(pages, plan_), "151.0 x 180.0 mm, not 150.0 x 180.0");
  pages.pop_back();
  expect_fault(proof_of(pages, plan_), "pages, not");
}

TEST_F(ProvePdf, FindsAFaultInThePlanItself) {
  SheetPlan wrong = plan_;
  wrong.sheets[0].cut_outs[0].sheet_from_motif =
      wrong.sheets[0].cut_outs[0].sheet_from_motif * Affine::scale(0.99);
  expect_fault(proof_of(draw_pages(wrong), wrong), "is planned");
}

class ProvePdfFile : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() /
              ("underdraw prove ü " + std::to_string(::getpid()) + " " +
               ::testing::UnitTest::GetInstance()->current_test_info()->name());
    std::filesystem::create_directories(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }
  std::filesystem::path write(const std::string& name, const std::string& bytes) {
    std::ofstream(folder_ / name, std::ios::binary) << bytes;
    return folder_ / name;
  }
  static std::string complaint(const std::filesystem::path& pdf) {
    try {
      prove_pdf(pdf);
    } catch (const InputError& e) {
      return e.what();
    }
    return "accepted";
  }
  std::filesystem::path folder_;
};

TEST_F(ProvePdfFile, UsesThePlanInsideUnlessOneLiesBeside) {
  const SheetPlan plan = small_plan();
  const auto pdf = write("sheets.pdf", sheets_pdf(plan));
  EXPECT_TRUE(prove_pdf(pdf).ok);
  SheetPlan other = plan;
  other.sheets[0].cut_outs[0].sheet_from_motif =
      Affine::translate({0.5, 0.0}) * other.sheets[0].cut_outs[0].sheet_from_motif;
  write("sheets.json", sheets_text(other));
  EXPECT_FALSE(prove_pdf(pdf).ok);
}

TEST_F(ProvePdfFile, RefusesWhatItCannotProveInOneLine) {
  EXPECT_NE(complaint(folder_ / "none.pdf").find("cannot be opened"), std::string::npos);
  EXPECT_NE(complaint(write("empty.pdf", "")).find("not a readable PDF"), std::string::npos);
  EXPECT_NE(complaint(write("text.pdf", "kelp")).find("not a readable PDF"), std::string::npos);
  const std::string plain = pdf_of_drawings({Drawing{150, 180, {}}});
  const std::string text = complaint(write("plain.pdf", plain));
  EXPECT_NE(text.find("does not say what its lines should be"), std::string::npos) << text;
  EXPECT_NE(text.find("underdraw sheet"), std::string::npos) << text;
}

TEST_F(ProvePdfFile, TheReportSaysWhatWasMeasured) {
  const auto pdf = write("sheets.pdf", sheets_pdf(small_plan()));
  const std::string text = proof_text(prove_pdf(pdf));
  for (const char* word : {"\"ok\": true", "\"largest_mm\"", "\"bar_across_mm\"", "\"id\": 8"}) {
    EXPECT_NE(text.find(word), std::string::npos) << word;
  }
}

}  // namespace
}  // namespace underdraw
