// Maps and template pages read back from their PDF: true ones pass, and every planted fault is
// found. Faults are put into what is printed while what is due stays as it was.
#include "io/prove_pages.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "io/rendered_page.h"
#include "io/write_drawing.h"
#include "piece/face_template.h"
#include "sheet/decorated_faces.h"
#include "sheet/draw_map.h"
#include "sheet/draw_template.h"
#include "sheet/shapes.h"

namespace underdraw {
namespace {

using Pages = std::vector<Drawing>;

std::string reasons_of(const PagesProof& report) {
  std::string all;
  for (const std::string& reason : report.reasons) all += reason + "\n";
  return all;
}

PagesProof proof_of(const Pages& printed, const Pages& due) {
  return prove_pages(pdf_of_drawings(printed), "pages.pdf", due);
}

Pages map_of(const PlacedFace& face) { return draw_maps("Harbour jar", {face}, sample_motifs()); }

Pages template_of(const PlacedFace& face) {
  return draw_template("Harbour jar", face, face_template(face.face));
}

void expect_true(const PlacedFace& face, const Pages& pages) {
  const PagesProof report = proof_of(pages, pages);
  EXPECT_TRUE(report.ok) << name_of(face.face.form) << "\n" << reasons_of(report);
  EXPECT_LT(report.largest_mm, 0.06) << name_of(face.face.form);
  for (const PageProof& page : report.pages) {
    EXPECT_GT(page.samples, 1000U);
    EXPECT_GT(page.measured_share, 0.15);  // pictures of the strain lie mostly on grey
    EXPECT_GT(page.words, 10U);
  }
}

class ProveEveryForm : public ::testing::TestWithParam<int> {
 protected:
  const PlacedFace face_ = one_of_each_form().at(static_cast<std::size_t>(GetParam()));
};

TEST_P(ProveEveryForm, ItsMapIsTrue) { expect_true(face_, map_of(face_)); }

TEST_P(ProveEveryForm, ItsTemplateIsTrue) { expect_true(face_, template_of(face_)); }

INSTANTIATE_TEST_SUITE_P(Form,
                         ProveEveryForm,
                         ::testing::Range(0, static_cast<int>(one_of_each_form().size())));

TEST(ProveTemplates, PagesForAPrinterAreTrueAsItPrintsThem) {
  const PrinterCorrection printer{"studio-laser", 0.985, 1.01};
  const PlacedFace face = one_of_each_form()[1];
  const Pages pages = draw_template("Harbour jar",
                                    face,
                                    face_template(face.face),
                                    {.paper = {}, .margin_mm = 10.0, .printer = printer});
  ProvePagesOptions options;
  options.printer = printer;
  const std::string pdf = pdf_of_drawings(pages, {.title = "Template", .printer = printer});
  const PagesProof report = prove_pages(pdf, "pages.pdf", pages, options);
  EXPECT_TRUE(report.ok) << reasons_of(report);
  EXPECT_FALSE(prove_pages(pdf, "pages.pdf", pages).ok);
}

// Each fault once on a map and once on the last of the template's pages.
class ProvePages : public ::testing::TestWithParam<bool> {
 protected:
  ProvePages() {
    const PlacedFace face = one_of_each_form()[1];  // a straight wall
    due_ = GetParam() ? map_of(face) : template_of(face);
    printed_ = due_;
  }
  std::vector<Mark>& marks() { return printed_.back().marks; }
  void expect_fault(const std::string& words) const {
    const PagesProof report = proof_of(printed_, due_);
    EXPECT_FALSE(report.ok);
    EXPECT_NE(reasons_of(report).find(words), std::string::npos) << reasons_of(report);
    EXPECT_NE(reasons_of(report).find(fmt::format("pages.pdf page {}: ", due_.size())),
              std::string::npos);
  }
  // Of the marks of black lines, the one that is longest.
  PathMark& main_line() {
    PathMark* best = nullptr;
    double most = 0.0;
    for (Mark& mark : marks()) {
      auto* path = std::get_if<PathMark>(&mark);
      if (path == nullptr || path->line.lightness > 0.3 || path->line_width_mm < 0.2) continue;
      double length = 0.0;
      for (const Path& p : path->paths) length += p.length();
      if (length > most && path->dashes_mm.empty()) {
        best = path;
        most = length;
      }
    }
    if (best == nullptr) throw std::logic_error("no line");
    return *best;
  }
  // Bold numbers of placements.
  std::vector<TextMark*> numbers() {
    std::vector<TextMark*> out;
    for (Mark& mark : marks()) {
      auto* text = std::get_if<TextMark>(&mark);
      const auto digit = [](char c) { return c >= '0' && c <= '9'; };
      if (text != nullptr && text->bold && std::all_of(text->text.begin(), text->text.end(), digit))
        out.push_back(text);
    }
    return out;
  }

  Pages due_, printed_;
};

TEST_P(ProvePages, AScaleHalfAPercentTooLargeIsFound) {
  for (Mark& mark : marks()) mark = moved(mark, Affine::scale(1.005));
  expect_fault("of its ink");
}

TEST_P(ProvePages, AShiftOfAMillimetreIsFound) {
  PathMark& line = main_line();
  for (Path& path : line.paths) path = transformed(path, Affine::translate({0.6, 0.8}));
  expect_fault("a line at");
}

TEST_P(ProvePages, AMissingLineIsFound) {
  main_line().paths.clear();
  expect_fault("% of its ink");
}

TEST_P(ProvePages, AMirroredPageIsFound) {
  const Affine mirror = Affine::translate({printed_.back().width_mm, 0.0}) * Affine::mirror_x();
  for (Mark& mark : marks()) {
    auto* path = std::get_if<PathMark>(&mark);
    if (path == nullptr) continue;
    for (Path& p : path->paths) p = transformed(p, mirror);
  }
  expect_fault("of its ink");
}

TEST_P(ProvePages, SwappedNumbersAreFound) {
  const std::vector<TextMark*> all = numbers();
  ASSERT_GE(all.size(), 2U);
  const std::string first = all[0]->text;
  const std::string second = all[1]->text;
  std::swap(all[0]->text, all[1]->text);
  expect_fault(fmt::format("\"{}\" at", first));
  expect_fault(fmt::format("reads \"{}\"", second));
}

TEST_P(ProvePages, AMissingNumberIsFound) {
  numbers().front()->text.clear();
  expect_fault("is not written");
}

TEST_P(ProvePages, AMissingPageIsFound) {
  printed_.push_back(printed_.back());
  const PagesProof report = proof_of(printed_, due_);
  EXPECT_NE(
      reasons_of(report).find(fmt::format("has {} pages, not {}", printed_.size(), due_.size())),
      std::string::npos);
}

INSTANTIATE_TEST_SUITE_P(Map, ProvePages, ::testing::Values(true));
INSTANTIATE_TEST_SUITE_P(Template, ProvePages, ::testing::Values(false));

// Centre of ink across a line that runs along y or x near `at`, mm, in a stretch beside the
// crossing.
double middle_of(const GreyView& view, Vec2 at, bool upright) {
  double ink = 0.0;
  double moment = 0.0;
  for (double along = 2.2; along <= 3.3; along += 0.05) {
    for (const double side : {-1.0, 1.0}) {
      for (double across = -0.8; across <= 0.8; across += 0.02) {
        const Vec2 p = at + (upright ? Vec2{across, side * along} : Vec2{side * along, across});
        const double d = view.ink_at_mm(p);
        ink += d;
        moment += d * across;
      }
    }
  }
  return ink > 0.0 ? moment / ink : 1e9;
}

struct Register {
  std::string letter;
  Vec2 at;  // measured in print
};

// Register marks of a page where they are printed, by the letter beside them.
std::vector<Register> registers_on(const Drawing& page, const GreyView& view) {
  std::vector<Register> out;
  for (std::size_t i = 0; i + 1 < page.marks.size(); ++i) {
    const auto* circle_mark = std::get_if<PathMark>(&page.marks[i]);
    const auto* letter = std::get_if<TextMark>(&page.marks[i + 1]);
    if (circle_mark == nullptr || letter == nullptr || circle_mark->paths.size() != 3) continue;
    const Vec2 due = circle_mark->paths.front().box().centre();
    if (std::abs(circle_mark->paths.front().box().width() - 3.6) > 1e-6) continue;
    out.push_back(
        {letter->text, due + Vec2{middle_of(view, due, true), middle_of(view, due, false)}});
  }
  return out;
}

// A wall of 1 m round, printed, its pages laid together by what is printed of the crosses with the
// same letter: the two ends of the paper are as far apart as they should be.
TEST(JoinedTemplate, PagesLaidTogetherByTheirMarksAreTrueOverAMetre) {
  const PlacedFace wall = decorated(face_of(CylinderFace{1000.0, 60.0}), 8, 1, 30.0);
  const Pages all = template_of(wall);
  const std::string pdf = pdf_of_drawings(all);
  const PdfDocument document = open_pdf(pdf, "template.pdf");
  std::vector<std::vector<Register>> registers;
  std::vector<Vec2> ends;  // of the template's long edge, measured where they lie on their page
  Affine whole_from_page;
  Vec2 first_end, last_end;
  std::size_t joined = 0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const PdfPage page(document->create_page(static_cast<int>(i)));
    const RenderedPage image = rendered_page(*page, 400.0, "template.pdf");
    const std::vector<Register> here = registers_on(all[i], image.view);
    if (here.empty()) continue;  // the overview
    if (!registers.empty()) {
      std::vector<std::pair<Vec2, Vec2>> pairs;  // before, here
      for (const Register& r : here) {
        for (const Register& before : registers.back()) {
          if (before.letter == r.letter) pairs.emplace_back(before.at, r.at);
        }
      }
      ASSERT_EQ(pairs.size(), 2U) << i;
      const Vec2 way_before = pairs[1].first - pairs[0].first;
      const Vec2 way_here = pairs[1].second - pairs[0].second;
      EXPECT_NEAR(length(way_before), length(way_here), 0.05);
      const double turn = std::atan2(cross(way_here, way_before), dot(way_here, way_before));
      const Vec2 middle_before = mix(pairs[0].first, pairs[1].first, 0.5);
      const Vec2 middle_here = mix(pairs[0].second, pairs[1].second, 0.5);
      whole_from_page = whole_from_page * Affine::translate(middle_before) *
                        Affine::turn_deg(degrees(turn)) * Affine::translate(-middle_here);
      ++joined;
    }
    registers.push_back(here);
    // Upright ends of the outline on this page, where the ink is.
    Box ink;
    for (const Mark& mark : all[i].marks) {
      const auto* path = std::get_if<PathMark>(&mark);
      if (path == nullptr || path->line_width_mm < 0.3 || path->line.lightness > 0.0) continue;
      for (const Path& p : path->paths) {
        if (p.box().width() > 50.0 && p.box().height() < 61.0) ink.add(p.box());
      }
    }
    ASSERT_FALSE(ink.empty()) << i;
    const auto end_at = [&](double x) {
      const Vec2 due{x, ink.centre().y};
      return whole_from_page * (due + Vec2{middle_of(image.view, due, true), 0.0});
    };
    if (registers.size() == 1) first_end = end_at(ink.min.x);
    last_end = end_at(ink.max.x);
  }
  EXPECT_GE(joined, 3U);
  EXPECT_NEAR(distance(first_end, last_end), 1000.0, 0.1);
  EXPECT_NEAR(last_end.y, first_end.y, 0.1);
}

}  // namespace
}  // namespace underdraw
