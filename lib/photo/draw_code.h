// Coded marks as they are printed, for every page that a camera is to find.
//
// Stage:   photo, internal to it.
// Frame:   sheet, mm.
// Source:  codes: see photo/mat.h.
#pragma once

#include <array>
#include <vector>

#include "sheet/drawing.h"

namespace underdraw {

// What each code looks like: rows from the top, its black edge included; true is black.
constexpr int kCodeCells = 7;
using CodeCells = std::array<std::array<bool, kCodeCells>, kCodeCells>;
CodeCells code_cells(int code);

struct CodeToDraw {
  int code = 0;
  Box box;  // square; the black edge lies inside it
};

// In the order in which they are painted: black first.
std::vector<PathMark> code_marks(const std::vector<CodeToDraw>& codes);

}  // namespace underdraw
