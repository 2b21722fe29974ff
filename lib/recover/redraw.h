// Recovered lines made ready for transfer sheets: a motif for each placement that has lines, under
// its old number, and one for each group of lines that belong to none.
//
// Stage:   recover. Pure.
// In/out:  lines as they lie on the faces; placements and motifs for sheet/lay_out_sheets.h. A
//          placement keeps its number, place and change, so that sheets, map and proof treat its
//          lines like the motif that they are what is left of. Lines known only in a photo are
//          counted and left out: a photo says nothing of their size.
// Refuses: a recovered face or placement that the piece does not have (GeometryError); options.
// Source:  own construction.
#pragma once

#include <string>
#include <vector>

#include "motif/motif.h"
#include "recover/recovered.h"
#include "repeat/arrange.h"

namespace underdraw {

struct RedrawOptions {
  double line_mm = 0.5;       // width that the lines are printed with; [0.02, 50]
  double join_mm = 4.0;       // lines of no known motif this close are cut out together; (0, 50]
  double largest_mm = 90.0;   // such a group is shared out when it is wider or higher; [10, 1000]
  double simplify_mm = 0.01;  // by which printed lines may differ; [0.001, 0.1]

  void validate() const;  // throws OptionError
};

struct Redraw {
  std::vector<PlacedFace> faces;   // in their order; without placements where nothing was found
  std::vector<Motif> motifs;       // "kelp-12", and "found-25" for lines of no known motif
  std::vector<int> as_found;       // numbers given to groups of these
  std::size_t in_photos_only = 0;  // strokes left out
};

Redraw redraw_motifs(const std::vector<PlacedFace>& faces,
                     const std::vector<Motif>& motifs,
                     const std::vector<RecoveredFace>& recovered,
                     const RedrawOptions& options = {});

}  // namespace underdraw
