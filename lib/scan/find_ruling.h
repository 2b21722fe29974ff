// Finds the lines that a page was printed with: lined, squared or millimetre paper.
//
// Stage:   scan. Pure.
// In/out:  page px. Lines may be a little bent, askew by up to 7 degrees, and hidden in places.
// Refuses: nothing; a page without ruling gives none. Straight lines that someone drew are no
//          ruling: that runs from edge to edge of the paper in many lines, evenly spaced, straight
//          and thin throughout.
// Cost:    one pass over the coarse page; what follows grows with the lines on it.
// Source:  own construction: ridges in the mean darkness of narrow strips across the page, linked
//          from strip to strip.
#pragma once

#include <vector>

#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

// One printed line. It runs along its direction's axis, x for lines across the page and y for
// lines down it; `at_px` is the other coordinate of its middle.
struct RuledLine {
  double from_px = 0.0;  // along
  double to_px = 0.0;
  std::vector<double> at_px;  // in the middle of each strip, from one edge of the page to the other
};

// All printed lines of one direction, side by side.
struct RuledDirection {
  double strip_px = 1.0;    // along; the middle of strip i is at (i + 0.5) * strip_px
  double spacing_mm = 0.0;  // between neighbours; 0 when they are not evenly spaced
  std::vector<RuledLine> lines;

  // Of a line's middle, between the strips too.
  double at(const RuledLine& line, double along_px) const;
};

struct Ruling {
  RuledDirection across;  // lines that run from left to right
  RuledDirection down;    // from top to bottom

  bool empty() const { return across.lines.empty() && down.lines.empty(); }
};

Ruling find_ruling(const Page& page, const PaperLight& light);

}  // namespace underdraw
