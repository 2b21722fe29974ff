// Makes the samples' scanned pages: sketches in pencil on thin paper, laid a little askew on the
// scanner.
//
// What it demonstrates: how a page with known truth is made. The sketches are exact curves (one
// file each, beginning with scallop.cpp, the simplest); tests/support/pencil_page.h turns them into
// pixels, and what it says it drew is written next to the page, so that tracing can be measured.
//
//   make_pages DIR    writes DIR/NAME/pages/*.png and DIR/NAME/truth/*.svg (in the page's own
//                     frame, mm) for harbour-jar, tern-figure and quay-tiles; the first page as a
//                     PDF too
#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <string>
#include <vector>

#include "geometry/linework.h"
#include "io/out_folder.h"
#include "io/svg.h"
#include "scan_files.h"
#include "sketches.h"
#include "support/pencil_page.h"

namespace {

using namespace underdraw;
namespace fs = std::filesystem;

// One sketch with its middle on the sheet, mm: as a hand places them.
struct OnSheet {
  std::string name;
  Vec2 middle;
};

struct SamplePage {
  std::string piece;  // folder
  std::string name;   // of the page
  std::string title;
  std::vector<OnSheet> sketches;
  test::PencilOptions look;
  bool as_pdf = false;
};

test::PencilOptions thin_paper(unsigned seed, double skew_deg) {
  test::PencilOptions options;
  options.seed = seed;
  options.skew_deg = skew_deg;
  options.folds = 1;
  options.noise = 0.6;
  options.paper_grain = 1.2;
  return options;
}

// Half a sheet of A4, cut across.
test::PencilOptions half_sheet(unsigned seed, double skew_deg) {
  test::PencilOptions options = thin_paper(seed, skew_deg);
  options.page_width_mm = 210.0;
  options.page_height_mm = 105.0;
  options.folds = 0;
  return options;
}

std::vector<SamplePage> sample_pages() {
  return {
      {"harbour-jar",
       "harbour-sketches",
       "Harbour sketches",
       // The lower row lies over the fold.
       {{"thistle", {42, 66}},
        {"kelp", {106, 69}},
        {"scallop", {170, 63}},
        {"sea-pink", {40, 152}},
        {"feather", {104, 150}},
        {"knot", {168, 153}}},
       thin_paper(1807, 1.5),
       true},
      {"tern-figure",
       "tern-sketches",
       "Tern sketches",
       {{"feather", {38, 52}}, {"scallop", {104, 54}}, {"sea-pink", {168, 51}}},
       half_sheet(2214, -0.8)},
      {"quay-tiles",
       "quay-sketches",
       "Quay sketches",
       {{"kelp", {40, 53}}, {"knot", {106, 50}}, {"scallop", {170, 54}}},
       half_sheet(331, 0.6)},
  };
}

void make_page(const SamplePage& sample, const fs::path& root) {
  const std::vector<harbour::NamedSketch> known = harbour::all_sketches();
  Linework all;
  std::vector<std::size_t> counts;
  for (const OnSheet& on_sheet : sample.sketches) {
    const auto sketch = std::find_if(
        known.begin(), known.end(), [&](const auto& k) { return k.name == on_sheet.name; });
    const Vec2 middle = sketch->lines.ink_box().centre();
    const Linework placed = transformed(sketch->lines, Affine::translate(on_sheet.middle - middle));
    all.strokes.insert(all.strokes.end(), placed.strokes.begin(), placed.strokes.end());
    counts.push_back(placed.strokes.size());
  }
  const test::PencilPage page = test::draw_pencil_page(all, sample.look);

  // Strokes keep their order, so the truth comes apart where it was put together.
  std::vector<SvgGroup> groups;
  auto next = page.truth.strokes.begin();
  for (std::size_t i = 0; i < counts.size(); ++i) {
    const auto end = next + static_cast<std::ptrdiff_t>(counts[i]);
    groups.push_back({sample.sketches[i].name, Linework{{next, end}, {}}});
    next = end;
  }

  const cv::Size size = page.grey.size();
  const fs::path folder = root / sample.piece;
  fs::create_directories(folder / "pages");
  fs::create_directories(folder / "truth");
  write_file(folder / "pages" / (sample.name + ".png"),
             harbour::png_of_page(page.grey, sample.look.dpi),
             Overwrite::yes);
  if (sample.as_pdf) {
    write_file(folder / "pages" / (sample.name + ".pdf"),
               harbour::pdf_of_page(page.grey, sample.look.dpi, sample.title),
               Overwrite::yes);
  }
  write_file(folder / "truth" / (sample.name + ".svg"),
             svg_of_page(size.width / page.px_per_mm,
                         size.height / page.px_per_mm,
                         groups,
                         sample.title + ", exactly as drawn"),
             Overwrite::yes);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2 || std::string(argv[1]).starts_with("-")) {
    std::fputs("usage: make_pages DIR    (for example: make_pages samples)\n", stderr);
    return 2;
  }
  try {
    for (const SamplePage& sample : sample_pages()) make_page(sample, argv[1]);
  } catch (const std::exception& e) {
    std::fprintf(stderr, "make_pages: %s\n", e.what());
    return 1;
  }
  return 0;
}
