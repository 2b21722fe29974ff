// Transfer sheets: every placement once, at true size, on as few sheets as is reasonable.
//
// Stage:   sheet. Pure.
// In/out:  placements of every face (template frame, at the clay stage when lines go on) and their
//          motifs; cut-outs on sheets. A sheet holds cut-outs of one face. What is larger than a
//          sheet comes in parts (split_cut_out.h), with a warning.
// Refuses: a cut-out that would take too many parts (GeometryError: placement, size, room, remedy),
//          a placement whose motif is missing, nothing to print at all.
#pragma once

#include <string>
#include <vector>

#include "sheet/shapes.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

SheetPlan lay_out_sheets(const std::string& piece,
                         const std::vector<PlacedFace>& faces,
                         const std::vector<Motif>& motifs,
                         const SheetOptions& options,
                         const CoverWords& cover = {});

// One sheet of the plan as a page; `looks` are shared by all of a plan.
Drawing draw_sheet(const SheetPlan& plan, std::size_t index, LookOfMotifs& looks);

}  // namespace underdraw
