// What a transfer sheet prints of a drawing: its lines, or holes to be pricked along them.
//
// Stage:   sheet. Pure.
// In/out:  motif frame to sheet frame, mm. The proof looks for the same ink.
#pragma once

#include "sheet/sheet_plan.h"

namespace underdraw {

struct SheetLines {
  Linework ink;    // black, to be gone over or pricked
  Linework guide;  // light grey, so that one sees what the holes follow; may be empty
};

SheetLines sheet_lines(const Motif& motif,
                       const Affine& sheet_from_motif,
                       const SheetOptions& options);

// Of a cut-out where it lies: of a part, what its window shows.
SheetLines cut_out_lines(const Motif& motif, const CutOut& cut_out, const SheetOptions& options);

// The lines, sheet frame, as far as the cut-out shows them.
Linework shown_lines(const Linework& lines, const CutOut& cut_out);

}  // namespace underdraw
