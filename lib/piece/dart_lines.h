// Cuts that let a copy too large for its curvature lie down, laid between the lines of the drawing.
//
// Stage:   piece. Pure.
// Frame:   of one copy: centred paper frame, mm, x right, y down, origin where the copy is laid.
// Refuses: limits outside their ranges (OptionError).
// Source:  how wide a petal may be: piece/creasing.h. The search is an own construction: what each
//          direction costs in lines crossed, then the cheapest way round by dynamic programming.
#pragma once

#include <vector>

#include "geometry/linework.h"
#include "geometry/outline.h"

namespace underdraw {

struct DartOptions {
  double strain_limit_percent = 1.0;  // paper that is off by less lies flat; [0.05, 20]
  double clear_mm = 0.5;              // a cut this near to a line's edge touches it; [0, 5]

  void validate() const;  // throws OptionError
};

struct Darts {
  std::vector<Path> cuts;        // straight, from outside the outline inwards
  int crossings = 0;             // lines of the drawing that they cross or touch, together
  double along_mm = 0.0;         // of line that a cut runs along; 0 unless nothing better exists
  Vec2 middle;                   // of the disc that stays whole
  double inner_radius_mm = 0.0;  // of that disc
  double widest_mm = 0.0;        // that one dart takes up at the outline; below 0: it opens
};

// Cuts so that no petal between two of them is wider than lies flat. There may be more than
// dart_count() where that spares lines, and fewer where the outline is narrow. None when the copy
// lies flat. An empty outline stands for the drawing's own silhouette.
Darts dart_lines(const Linework& copy,
                 const Rings& outline,
                 double curvature_per_mm2,
                 const DartOptions& options = {});

}  // namespace underdraw
