// Cuts one line where it comes too near to outlines.
//
// Stage:   repeat. Pure. Used by cut_behind, whose header says where a line is cut.
// In/out:  mm in the frame of the field's rings.
#pragma once

#include <vector>

#include "geometry/linework.h"
#include "repeat/edge_field.h"

namespace underdraw {

struct LineCut {
  bool whole = false;          // nothing is cut: no pieces are given
  std::vector<Stroke> pieces;  // what is left, in the line's direction, however short
};

// `stroke` is no dot. The field's reach is at least gap_mm and half the line's largest width. Dips
// of the distance below what is kept that are shallower than half of tolerance_mm may be missed.
LineCut cut_line(const Stroke& stroke, const EdgeField& field, double gap_mm, double tolerance_mm);

// Mean width, or the largest along the line.
double largest_width(const Stroke& stroke);

}  // namespace underdraw
