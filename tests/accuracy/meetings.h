// Where lines meet: crossings, T and Y meetings, found from geometry alone and in the same way for
// drawn and for traced lines.
//
// In/out:  linework in one frame, mm.
// Words:   an arm is a stretch of line that leaves a meeting. A meeting has three arms or more: an
//          L corner of two ends, and a ring's seam, are none.
//          X: two strokes cut, or lie upon each other for a stretch (closer than the reach).
//          T: an end within reach of another stroke, or of its own stroke farther along.
//          Kiss: two strokes come within a given distance of each other without cutting. Four arms,
//          but not a crossing.
//          Y: three ends or more within reach of each other.
//          Reach is 0.6 pen widths (mean of the two strokes there). Meetings less than 0.15 mm
//          apart along a stroke are one. An overshoot shorter than the reach is no arm.
#pragma once

#include <array>
#include <vector>

#include "accuracy/sampled_lines.h"

namespace underdraw::test {

struct LinePass {
  int line = -1;
  double s = 0.0;
};

struct Meeting {
  Vec2 at;
  std::vector<Vec2> arms;    // unit directions away from it, read a pen width out
  double width = 0.0;        // mean pen width there, mm
  double least_angle = 0.0;  // rad, between two of the arms
  double blot = 0.0;      // how far out the arms' ink is still one: w / (2 sin(angle / 2)), <= 2 mm
  bool crossing = false;  // two strokes run through and none ends
  std::vector<LinePass> passes;  // where each stroke has it
};

struct Bridge {
  int meeting_a = -1;
  int meeting_b = -1;
  int line = -1;
  double length = 0.0;
};

struct Meetings {
  std::vector<Meeting> meetings;
  std::vector<Bridge> bridges;  // stretches of line between two different meetings
  // For each line, whether its start and its end meet nothing.
  std::vector<std::array<bool, 2>> loose;
};

Meetings find_meetings(const std::vector<SampledLine>& lines,
                       const LineGrid& grid,
                       double kiss_mm = 0.06);

}  // namespace underdraw::test
