// A page of sketches to linework: the whole of the scan and trace stages in one call.
//
// Stage:   trace. Pure.
// In/out:  a Page in; linework in the page frame, mm.
// Refuses: a page without ink, a page that is ink all over (InputError).
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "geometry/linework.h"
#include "scan/captions.h"
#include "scan/page.h"

namespace underdraw {

struct TraceOptions {
  double tolerance_mm =
      0.031;              // largest distance of a fitted curve from the measured line; [0.005, 1]
  double apart_mm = 4.5;  // white space that separates two sketches; [1, 100]

  Captions captions = Captions::keep;  // writing beside the sketches

  bool keep_ruling = false;  // trace the paper's printed lines and coloured guides too

  void validate() const;  // throws OptionError
};

// One drawing on the page.
struct TracedSketch {
  Box box;         // of its ink, page frame, mm
  Linework lines;  // page frame, mm
};

// A line of writing, kept or left out.
struct PageCaption {
  Box box;                            // page frame, mm
  std::optional<std::size_t> sketch;  // beside which it stands
};

struct TracedPage {
  double width_mm = 0.0;
  double height_mm = 0.0;
  std::vector<TracedSketch> sketches;  // left to right, then top to bottom, as one reads
  std::vector<TracedSketch> loose;     // marks under 3 mm far from every sketch: dots, crumbs, dust
  std::vector<PageCaption> captions;
  std::vector<std::string> warnings;
};

TracedPage trace_page(const Page& page,
                      const TraceOptions& options = {},
                      const Progress& progress = {});

}  // namespace underdraw
