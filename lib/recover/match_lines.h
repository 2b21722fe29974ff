// Whether a drawing is among the lines that a face shows, where exactly, and how a hand bent it.
//
// Stage:   recover. Pure.
// Frame:   paper laid where the copy should be: mm, origin there, x right, y down.
// How:     a search over shifts, turns and sizes for the most of the drawing that lies on lines
//          running the same way; then the best few are fitted: first as they are, then with a
//          smooth bend (cubic B-splines on a grid, held straight by the square of its second
//          differences) by least squares of the distances across the lines, far ones counting
//          less. A drawing is found when that puts enough of it onto lines, and clearly more than
//          any place does where it is not.
// Refuses: options outside their ranges (OptionError).
// Source:  oriented chamfer matching: J. Shotton et al., Multiscale categorical object recognition
//          using contour fragments, PAMI 30 (2008); bend: S. Lee et al., Scattered data
//          interpolation with multilevel B-splines, TVCG 3 (1997), here by least squares; weights:
//          J. Tukey's biweight.
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

// A point of a line that the face shows.
struct LinePoint {
  Vec2 at;
  Vec2 along;  // unit, either way
};

// A drawing's line as points at most 0.4 mm apart. One point is a dot: it is bent along, not
// matched.
using DrawnLine = std::vector<Vec2>;

struct MatchOptions {
  double reach_mm = 9.0;      // sought this far to either side, and up and down; [1, 30]
  double turn_deg = 9.0;      // either way; [0, 45]
  double size_share = 0.05;   // larger or smaller by up to; [0, 0.2]
  double near_mm = 0.45;      // a line this close is the drawing's; [0.1, 3]
  double least_share = 0.65;  // of what can be seen of a drawing; [0.2, 1]

  void validate() const;  // throws OptionError
};

struct LineMatch {
  bool found = false;
  Vec2 shift;             // of the origin
  double turn_deg = 0.0;  // clockwise on paper
  double scale = 1.0;
  double share = 0.0;   // on lines, of what can be seen
  double chance = 0.0;  // the same at the best place elsewhere
  double off_mm = 0.0;  // median distance of the matched points from their lines, after the bend
  std::vector<DrawnLine> lines;          // where they are now
  std::vector<std::vector<char>> shown;  // for each of their points whether a line is there
};

// `visible` says whether the photos show that place at all.
LineMatch match_lines(const std::vector<DrawnLine>& drawing,
                      const std::vector<LinePoint>& points,
                      const std::function<bool(Vec2)>& visible,
                      const MatchOptions& options = {});

}  // namespace underdraw
