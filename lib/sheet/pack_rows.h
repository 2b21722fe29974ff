// Shares boxes out over sheets: in straight rows, or on a skyline if that saves a sheet.
//
// Stage:   sheet. Pure; the same boxes give the same sheets.
// In/out:  boxes in mm, each in its own frame; moves into the room's frame, upright.
// Refuses: nothing: a box larger than the room is for the caller to refuse.
// Source:  rows: first fit by falling height, E. G. Coffman, M. R. Garey, D. S. Johnson,
//          R. E. Tarjan, "Performance bounds for level-oriented two-dimensional packing
//          algorithms", SIAM J. Comput. 9 (1980) 808-826. Skyline: bottom-left places,
//          B. Chazelle, "The bottom-left bin-packing heuristic: an efficient implementation",
//          IEEE Trans. Computers C-32 (1983) 697-707. Both from memory.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

struct BoxSpot {
  std::size_t sheet = 0;  // 0-based
  Vec2 move;              // of the box
};

struct BoxPacking {
  std::vector<BoxSpot> spots;  // one a box, in their order
  std::size_t sheets = 0;
};

BoxPacking pack_rows(const std::vector<Box>& boxes, const Box& room, double spacing_mm);

}  // namespace underdraw
