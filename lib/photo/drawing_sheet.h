// The drawing sheet: a printed page of empty frames whose marks let a photo of it be laid flat.
//
// Stage:   photo. Pure.
// Frame:   sheet: mm, origin top left, y down.
// How:     sixteen coded marks all round, four across and six down, so that they show how the paper
//          is bent and some may be hidden. Each says which of the sixteen it is, and one of four
//          digits; four marks share a digit. The digits are the paper, the grid of frames and the
//          page's number.
// Source:  codes: see photo/mat.h. The sheet's own are those from 600 up, which no mat has; any two
//          codes of one dictionary differ as much as that dictionary guarantees.
// Refuses: papers without a name, grids and page numbers outside their ranges, counts of frames
//          that make no grid, more names than frames (OptionError).
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "geometry/vec2.h"
#include "sheet/drawing.h"
#include "sheet/paper.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

constexpr int kFirstSheetCode = 600;
constexpr std::size_t kSheetMarks = 16;
constexpr int kMostSheetPage = 625;

struct FrameGrid {
  int columns = 2;  // [1, 4]
  int rows = 3;     // [1, 6]

  friend bool operator==(const FrameGrid&, const FrameGrid&) = default;
};

// What a sheet's marks say of it.
struct SheetKind {
  std::string paper = "A4";  // one of paper_names()
  FrameGrid grid;
  int page = 1;  // [1, 625]

  void validate() const;  // throws OptionError

  friend bool operator==(const SheetKind&, const SheetKind&) = default;
};

struct SheetMark {
  int code = 0;
  Box box;

  std::array<Vec2, 4> corners() const;  // from the top left of the code, clockwise on paper
};

struct DrawingSheet {
  SheetKind kind;
  PaperSize paper;
  SheetFrame frame;
  std::vector<SheetMark> marks;  // clockwise from the top left
  std::vector<Box> frames;       // left to right, top to bottom: number 1 first
};

DrawingSheet drawing_sheet(const SheetKind& kind);

// The grid of so many frames on that paper whose frames are nearest to square.
FrameGrid grid_of(int frames, const std::string& paper);

// What these codes say together; nothing when none is a sheet's, a digit is on none of them, or
// they contradict each other. One mark in three may be misread.
std::optional<SheetKind> kind_of_codes(const std::vector<int>& codes);

// Which of a sheet's marks has this code; nothing for a code of another kind of page.
std::optional<std::size_t> sheet_mark_of_code(int code);

// Page numbers count on from the kind's. A name stands over the frame that it belongs to, the first
// ones on the first page.
struct BlankSheets {
  SheetKind first = {};
  int pages = 1;                        // [1, 100]
  std::vector<std::string> names = {};  // at most as many as there are frames

  void validate() const;  // throws OptionError
};
std::vector<Drawing> draw_blank_sheets(const BlankSheets& sheets);

// What is printed and drawn farther outside of a frame is no part of a sketch, mm.
constexpr double kOverFrameMm = 2.5;
constexpr double kFrameLineMm = 0.25;

}  // namespace underdraw
