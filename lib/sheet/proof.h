// Whether printed sheets are true: what was measured on them, and the verdict in words.
//
// Stage:   sheet. Pure: lib/io renders the pages and hands them over as grey pixels and words.
// Frame:   sheet, mm; a pixel's corner is (0, 0).
// How:     along every line that a placement asks for, each 0.25 mm, the printed line's middle is
//          found across the line, to a fraction of a pixel. Places where another line is near are
//          only asked whether there is ink. What is inked and not asked for is counted as well.
// Source:  own construction.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sheet/sheet_plan.h"

namespace underdraw {

// One page as pixels; the caller keeps the bytes alive.
struct GreyView {
  const std::uint8_t* pixels = nullptr;  // 0 black to 255 white
  int width = 0;
  int height = 0;
  std::size_t stride = 0;  // bytes from row to row
  double px_per_mm = 0.0;

  // 0 paper to 1 ink; outside the page is paper.
  double ink_at(int x, int y) const {
    if (x < 0 || y < 0 || x >= width || y >= height) return 0.0;
    return 1.0 - pixels[static_cast<std::size_t>(y) * stride + static_cast<std::size_t>(x)] / 255.0;
  }
  double ink_at_mm(Vec2 mm) const;  // between pixel centres: mixed
};

struct PrintedWord {
  std::string text;
  Box box;  // sheet mm
};

struct ProofOptions {
  double limit_mm = 0.2;         // largest deviation of a line; (0, 5]
  double bar_limit_mm = 0.1;     // of the bars' lengths
  double cross_limit_mm = 0.1;   // largest deviation of a register cross
  double missing_limit = 0.01;   // share of the line samples that may lack ink
  double extra_limit_mm2 = 0.1;  // ink inside a cut-out that nothing asks for

  void validate() const;  // throws OptionError
};

// What joins a part to its neighbours.
struct PartProof {
  int number = 1, count = 1;
  bool words_found = false;      // "part 2 of 4"
  std::size_t crosses = 0;       // due on it
  double cross_mm = 0.0;         // deviation of their lines' middles, the largest
  double crosses_missing = 0.0;  // share of their lines without ink
};

struct PlacementProof {
  int placement = 0;
  std::optional<PartProof> part;  // nothing: all of the placement
  std::string motif;
  int sheet = 0;                // 1-based
  std::size_t samples = 0;      // places on its lines that were looked at
  double measured_share = 0.0;  // of these: no other line near, so the middle could be measured
  double missing_share = 0.0;   // of these: no ink
  double mean_mm = 0.0;         // deviation of the line's middle
  double largest_mm = 0.0;
  double extra_ink_mm2 = 0.0;
  bool number_found = false;
  bool as_planned = true;            // false: mirrored where it should not be, or the reverse
  std::optional<Vec2> displaced_mm;  // the whole drawing was found this far away
};

struct SheetProof {
  int sheet = 0;                             // 1-based
  std::optional<double> across_mm, down_mm;  // bars; nothing: not found
  double across_due_mm = 0.0, down_due_mm = 0.0;
  double margin_ink_mm2 = 0.0;  // outside the printable margins
  double stray_ink_mm2 = 0.0;   // between the cut-outs
  bool sign_right = true;       // the reading sign is there and not mirrored
  std::vector<PlacementProof> placements;
};

// A file of drawings, map.pdf or template.pdf, that was proved with the sheets.
struct DrawnProof {
  std::string file;
  std::size_t pages = 0;
  double largest_mm = 0.0;  // deviation of a line
};

struct ProofReport {
  bool ok = false;
  std::vector<std::string> reasons;  // why not, one line each
  std::string file;
  std::string printer;  // what was measured is what this one prints; empty: the file itself
  double limit_mm = 0.2;
  double dpi = 0.0;
  double mean_mm = 0.0;        // over all placements
  double largest_mm = 0.0;     // the same
  std::size_t placements = 0;  // one in parts counts once
  std::vector<SheetProof> sheets;
  std::vector<DrawnProof> drawn;  // nothing: only the sheets were proved
};

// What is wrong with a plan before anything is printed: a placement missing, there twice, in the
// wrong size or the wrong way round, cut-outs that overlap or leave the work area, parts that do
// not make up the whole or do not share their crosses. Empty: nothing.
std::vector<std::string> check_plan(const SheetPlan& plan);

SheetProof measure_sheet(const SheetPlan& plan,
                         std::size_t index,
                         const GreyView& page,
                         const std::vector<PrintedWord>& words,
                         const ProofOptions& options = {});

// Ink outside the box, mm².
double ink_outside(const GreyView& page, const Box& box);

// Reasons in words, and the verdict.
void conclude(ProofReport& report, const ProofOptions& options);

}  // namespace underdraw
