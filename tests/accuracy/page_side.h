// What is measured of one side, the drawn or the traced: its lines, outlines, meetings and dots.
//
// In/out:  linework in the page frame, mm.
#pragma once

#include <vector>

#include "accuracy/meetings.h"
#include "accuracy/point_grid.h"
#include "accuracy/sampled_lines.h"

namespace underdraw::test {

constexpr double kMatched = 0.15;     // mm, how near a line of the other side has to be
constexpr double kDrawnKiss = 0.06;   // lines drawn this close have met for certain
constexpr double kTracedKiss = 0.15;  // traced ones may then lie this far apart

struct PageSide {
  PageSide(const Linework& from, double kiss_mm);
  PageSide(const PageSide&) = delete;  // its grids refer to its lines
  PageSide& operator=(const PageSide&) = delete;

  std::vector<SampledLine> lines;
  LineGrid line_grid;
  std::vector<SampledLine> all;  // the lines, then the outlines of areas
  LineGrid all_grid;
  Meetings meetings;
  PointGrid meeting_points;  // reaches 3 mm
  std::vector<Vec2> dots;
};

// How far from a drawn meeting a traced one is still in place. Where lines part at a flat angle,
// how far apart they are tells little about where they met.
double in_place_mm(const Meeting& drawn);

}  // namespace underdraw::test
