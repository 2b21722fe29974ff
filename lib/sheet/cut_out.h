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

#include <optional>
#include <vector>

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

// What a cut-out and its parts have in common; frame of the print: upright, origin at the
// placement's centre.

// Round the drawing at its clearance, and round the words if there are any.
Ring cut_ring(const Rings& print_ink, const std::optional<Box>& words, double clearance_mm);

// Four lines inward from the ring, above, below, left and right of the origin.
std::vector<Path> datum_ticks(const Ring& ring, double clearance_mm);
constexpr double kDatumTickWidth = 0.3;

// The copy's darts where they lie inside the ring.
std::vector<Path> darts_inside(const Placement& placement,
                               const Motif& motif,
                               const Affine& print_from_motif,
                               const Ring& ring);

// The cut-out somewhere else; meant for moves and turns.
CutOut moved(const CutOut& cut_out, const Affine& to_from_cut_out);

}  // namespace underdraw
