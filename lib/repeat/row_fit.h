// Whole repeats along a line of given length, with equal gaps.
//
// Stage:   repeat. Pure.
// In/out:  mm along the row; 0 is the seam tick of a round face, the left edge of a flat one.
// Refuses: lengths that are not positive numbers, gaps below 0 (OptionError).
// Source:  closure n w = C; own construction of the gaps: a row begins and ends with half a gap, so
//          the seam (or the joint between two tiles) is a gap like any other and no copy lies
//          across it. Unit k starts at k C / n and never at the sum of those before it.
#pragma once

#include <optional>
#include <vector>

namespace underdraw {

struct RowRequest {
  double length_mm = 0.0;         // circumference, or width of a flat face
  std::vector<double> widths_mm;  // of the copies of one unit, in order
  double least_gap_mm = 0.0;
  std::optional<int> repeats = {};  // exactly as many; nothing: as many as fit

  double ink_mm() const;   // of one unit
  double gaps_mm() const;  // that one unit needs at least
};

struct RowFit {
  int repeats = 0;                 // whole units; 0: does not fit once
  double gap_mm = 0.0;             // true gap, at least the least
  std::vector<double> centres_mm;  // of every copy, unit by unit
};

RowFit fit_row(const RowRequest& request);

}  // namespace underdraw
