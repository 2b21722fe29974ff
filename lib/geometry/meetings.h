// Where drawn lines meet, and where they end loose.
//
// Stage:   geometry. Pure.
// In/out:  linework in mm; points in its frame.
// Source:  own construction: crossings of the flattened lines, and ends that reach a line.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/linework.h"

namespace underdraw {

struct MeetingOptions {
  double reach_mm = 0.12;     // an end this near to a line's edge meets it; [0, 5]
  double together_mm = 0.35;  // meetings closer than this are one; (0, 5]

  void validate() const;  // throws OptionError
};

// Three arms at a T or Y, four at an X. Where one end runs on into another there are two.
struct Meeting {
  Vec2 at;
  int arms = 0;
};

struct LineEnds {
  std::vector<Meeting> meetings;
  std::vector<Vec2> loose;  // ends that meet nothing; dots have none
};

// An outline of an area counts as a line that does not end.
LineEnds find_line_ends(const Linework& lines, const MeetingOptions& options = {});

}  // namespace underdraw
