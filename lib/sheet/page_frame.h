// What every printed page carries beside its content: head line, bars, reading sign.
//
// Stage:   sheet. Pure.
// Frame:   sheet, mm.
#pragma once

#include <string>
#include <vector>

#include "sheet/sheet_plan.h"

namespace underdraw {

// Inside the margins, which a printer's correction makes wider. Bars are 100 mm; on paper too small
// for that the largest whole 10 mm that fits.
SheetFrame frame_of(const SheetOptions& options);

// A flag on a pole, a gull's wing for its lower edge, a ball at the foot: it looks wrong when it is
// mirrored. Its own frame: mm, 7 wide, 8 high, origin top left.
Linework reading_sign();

// Line, end ticks, and small ticks each 10 mm.
PathMark bar_mark(const Bar& bar, double tick_mm);

// Inside the margins, and far enough that no letter reaches over them at the sides.
Box text_room(const SheetFrame& frame);

struct HeadLine {
  std::string title;   // large, left
  std::string right;   // large, right
  std::string strong;  // small, below, first: must not be overlooked; may be empty
  std::string detail;  // small, after that
};
std::vector<Mark> head_marks(const SheetFrame& frame, const HeadLine& head);

// Both bars with their words, and the reading sign with its own.
std::vector<Mark> measure_marks(const SheetFrame& frame);

// Greedy line breaking at spaces.
std::vector<std::string> broken_text(const std::string& text,
                                     double width_mm,
                                     double height_mm,
                                     bool bold = false);

}  // namespace underdraw
