// Makes the sample's scanned page: six sketches in pencil on one folded sheet of thin A4, laid a
// little askew on the scanner.
//
// What it demonstrates: how a page with known truth is made. The sketches are exact curves (one
// file each, beginning with scallop.cpp, the simplest); tests/support/pencil_page.h turns them into
// pixels, and what it says it drew is written next to the page, so that tracing can be measured.
//
//   make_pages DIR    writes DIR/pages/harbour-sketches.png, the same page as a PDF, and
//                     DIR/truth/harbour-sketches.svg in the page's own frame, mm
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

// Where the sketches' middles lie on the sheet, mm: as a hand places them, the lower row over the
// fold.
constexpr Vec2 kMiddles[] = {{42, 66}, {106, 69}, {170, 63}, {40, 152}, {104, 150}, {168, 153}};

test::PencilOptions thin_paper() {
  test::PencilOptions options;
  options.seed = 1807;
  options.skew_deg = 1.5;
  options.folds = 1;
  options.noise = 0.6;
  options.paper_grain = 1.2;
  return options;
}

void make_pages(const std::filesystem::path& folder) {
  const std::vector<harbour::NamedSketch> sketches = harbour::all_sketches();
  Linework all;
  for (std::size_t i = 0; i < sketches.size(); ++i) {
    const Vec2 middle = sketches[i].lines.ink_box().centre();
    const Linework placed = transformed(sketches[i].lines, Affine::translate(kMiddles[i] - middle));
    all.strokes.insert(all.strokes.end(), placed.strokes.begin(), placed.strokes.end());
  }

  const test::PencilOptions options = thin_paper();
  const test::PencilPage page = test::draw_pencil_page(all, options);

  // Strokes keep their order, so the truth comes apart where it was put together.
  std::vector<SvgGroup> groups;
  auto next = page.truth.strokes.begin();
  for (const harbour::NamedSketch& sketch : sketches) {
    const auto end = next + static_cast<std::ptrdiff_t>(sketch.lines.strokes.size());
    groups.push_back({sketch.name, Linework{{next, end}, {}}});
    next = end;
  }

  const cv::Size size = page.grey.size();
  std::filesystem::create_directories(folder / "pages");
  std::filesystem::create_directories(folder / "truth");
  write_file(folder / "pages" / "harbour-sketches.png",
             harbour::png_of_page(page.grey, options.dpi),
             Overwrite::yes);
  write_file(folder / "pages" / "harbour-sketches.pdf",
             harbour::pdf_of_page(page.grey, options.dpi, "Harbour sketches"),
             Overwrite::yes);
  write_file(folder / "truth" / "harbour-sketches.svg",
             svg_of_page(size.width / page.px_per_mm,
                         size.height / page.px_per_mm,
                         groups,
                         "Harbour sketches, exactly as drawn"),
             Overwrite::yes);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2 || std::string(argv[1]).starts_with("-")) {
    std::fputs("usage: make_pages DIR    (for example: make_pages samples/harbour-jar)\n", stderr);
    return 2;
  }
  try {
    make_pages(argv[1]);
  } catch (const std::exception& e) {
    std::fprintf(stderr, "make_pages: %s\n", e.what());
    return 1;
  }
  return 0;
}
