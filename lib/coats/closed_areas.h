// The areas that a drawing's lines close in: what one colour fills.
//
// Stage:   coats. Pure.
// In/out:  motif frame, mm. An area reaches to the middle of the lines round it, so that areas meet
//          edge to edge and leave nothing out; what is joined to the outside belongs to none.
// Leaks:   openings up to close_mm count as closed. Where an end of a line and the next line, or
// its
//          end, are farther apart, what they would close is open to the outside: the place is told.
// Refuses: options outside their ranges (OptionError).
// Source:  flooding from the widest places down (L. Vincent, P. Soille, Watersheds in digital
//          spaces: an efficient algorithm based on immersion simulations, PAMI 13, 1991) on the
//          distance to the lines; two basins are one when the way between them is open.
#pragma once

#include <string>
#include <vector>

#include "geometry/linework.h"
#include "geometry/rings.h"

namespace underdraw {

struct ClosedAreaOptions {
  double close_mm = 1.0;   // openings up to this wide, from ink to ink, count as closed; [0, 5]
  double leak_mm = 3.0;    // wider ones up to this are told as leaks; [0, 20]
  double least_mm2 = 6.0;  // smaller areas go to their neighbour (own choice: too small for a
                           // brush to fill apart); [0, 1000]
  double cell_mm = 0.1;    // of the grid; coarser for drawings above 250 mm; [0.02, 1]

  void validate() const;  // throws OptionError
};

struct ClosedArea {
  Rings rings;            // even-odd: the outer border and the borders of what lies in it
  double size_mm2 = 0.0;  // to the middle of the lines
  double edge_mm = 0.0;   // length of all its borders
  Vec2 label_at;          // middle of the widest spot
  double label_mm = 0.0;  // how wide that is
};

// A place where an area would be closed but for an opening.
struct Leak {
  Vec2 at;
  double open_mm = 0.0;   // from ink to ink
  double size_mm2 = 0.0;  // of what it would close
};

struct ClosedAreas {
  std::vector<ClosedArea> areas;  // largest first
  std::vector<Leak> leaks;        // largest first
};

// Of all borders together, the way back to each start included.
double edge_length(const Rings& rings);

ClosedAreas closed_areas(const Linework& lines, const ClosedAreaOptions& options = {});

}  // namespace underdraw
