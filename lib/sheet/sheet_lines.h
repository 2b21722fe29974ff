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

}  // namespace underdraw
