// A cut-out that no sheet has room for, in parts that overlap and are joined by register crosses.
//
// Stage:   sheet. Pure.
// Frame:   parts come each in its own frame, as make_cut_out() gives cut-outs; what they have in
//          common is in the print's frame: upright, origin at the placement's centre.
// Rules:   windows of equal size in rows and columns, overlapping by 10 mm, of which those are left
//          out that hold nothing of the cut-out. What a part shows ends at its window's edge; its
//          paper goes on a little, and ends elsewhere at the cut line of the whole, which goes
//          straight round the drawing. Neighbours
//          share two crosses where there is room, clear of the drawing where that can be. The
//          number, "part 2 of 4", and a picture of the order stand on a label below the drawing.
// Source:  own construction.
#pragma once

#include <optional>
#include <vector>

#include "geometry/outline.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

constexpr int kMostParts = 24;  // more are puzzles

// In rows from the top, each from the left. Nothing when it would take more than kMostParts, or
// when the room is too small for a part with its label.
std::optional<std::vector<CutOut>> split_cut_out(const PlacedFace& face,
                                                 const Placement& placement,
                                                 const Motif& motif,
                                                 const Rings& motif_ink,
                                                 const SheetOptions& options,
                                                 Vec2 room);

// The lines of a part's cross as far as its paper goes; print frame.
std::vector<Path> cross_lines(const CutOutPart& part, Vec2 cross);
constexpr double kCrossWidth = 0.2;

}  // namespace underdraw
