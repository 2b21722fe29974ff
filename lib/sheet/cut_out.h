// One placement made ready for scissors: drawing, cut line, number, name, place, up arrow, ticks.
//
// Stage:   sheet. Pure.
// Frame:   the cut-out's own: mm, origin top left of the cut line's box, y down, upright.
// Rules:   the cut line follows the drawing at its clearance, without bays that scissors do not
//          like; words lie beside the drawing, inside the cut line, where that makes the cut-out
//          smallest; nothing is written over a line; words stay readable when the drawing is
//          printed mirrored. Four ticks at the cut line stand straight above, below and beside
//          the placement's centre: those above and below at its angle, those beside at its height.
#pragma once

#include "geometry/outline.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

// What a motif covers, motif frame: once for all its copies.
Rings cut_out_ink(const Motif& motif);

CutOut make_cut_out(const PlacedFace& face,
                    const Placement& placement,
                    const Motif& motif,
                    const Rings& motif_ink,
                    const SheetOptions& options);

// The cut-out somewhere else; meant for moves and turns.
CutOut moved(const CutOut& cut_out, const Affine& to_from_cut_out);

}  // namespace underdraw
