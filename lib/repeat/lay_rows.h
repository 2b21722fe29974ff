// Styles in rows: centre, band, rows, brick, half-drop.
//
// Stage:   repeat. Pure.
// In/out:  a job (lengths at the stage when the lines go on) and the face; copies on it, row by row
//          from the top, left to right.
// Layout:  a row begins and ends with half a gap, so the seam, or the joint between two tiles, is a
//          gap like any other and nothing lies across it. Widths are those of the drawings' boxes;
//          on a tapered wall the gap asked for is kept where the row is narrowest. Every row of a
//          bellied wall takes as many copies as fit it, or, with same_count, as many as the widest
//          row, smaller where the wall is narrower.
// Closure: whole repeats; half-drop and whatever mirrors every second copy close on even counts
//          only. An asked-for count that cannot close is refused with the nearest that can.
// Refuses: what does not fit once, what reaches over the edge (GeometryError, with the largest size
//          that fits).
// Source:  closure rules: general trade usage, no single source; own construction of the gaps.
#pragma once

#include <string>
#include <vector>

#include "repeat/unit_of_copies.h"

namespace underdraw {

struct LaidCopy {
  Copy copy;
  FacePoint at;
};

struct LaidCopies {
  std::vector<LaidCopy> copies;
  int repeats = 0;  // whole units in a row; the fewest where rows differ
  int rows = 0;
  double gap_mm = 0.0;         // true gap at the middle of a row; the least where rows differ
  double row_gap_mm = 0.0;     // 0 for one row
  double end_gap_mm = 0.0;     // flat faces: from the edge to the first and from the last motif
  double seam_error_mm = 0.0;  // largest difference between the gaps of a row, as written
  std::vector<std::string> notes;
  std::vector<std::string> warnings;
};

LaidCopies lay_rows(const RepeatJob& job, const Surface& surface);

// Placements are rounded to these steps, and angles to [0, 360), so that what is checked is what is
// written.
constexpr double kPlacementStepMm = 1e-4;
constexpr double kPlacementStepDeg = 1e-5;
FacePoint as_written(const Surface& surface, FacePoint at);

}  // namespace underdraw
