// One placement made ready for scissors: drawing, cut line, number, name, up arrow, datum ticks.
//
// Stage:   sheet. Pure.
// Frame:   the cut-out's own: mm, origin top left of the cut line's box, y down, upright.
// Rules:   the drawing is at true size and keeps the clearance to the cut line; nothing is written
//          over it; words stay readable when the drawing is printed mirrored.
#pragma once

#include "sheet/sheet_plan.h"

namespace underdraw {

CutOut make_cut_out(const PlacedFace& face,
                    const Placement& placement,
                    const Motif& motif,
                    const SheetOptions& options);

// The cut-out somewhere else; meant for moves and turns.
CutOut moved(const CutOut& cut_out, const Affine& to_from_cut_out);

}  // namespace underdraw
