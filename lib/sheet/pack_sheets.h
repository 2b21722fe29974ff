// Shares outlines out over as few sheets as is reasonable.
//
// Stage:   sheet. Pure; the same items give the same sheets.
// In/out:  outlines in mm, each in its own frame; moves into the room's frame, upright.
// Refuses: an outline larger than the room (GeometryError): ask fits() first for better words.
// How:     in straight rows, or on a skyline if that saves a sheet. Only boxes are looked at.
// Source:  rows: first fit by falling height, E. G. Coffman, M. R. Garey, D. S. Johnson,
//          R. E. Tarjan, "Performance bounds for level-oriented two-dimensional packing
//          algorithms", SIAM J. Comput. 9 (1980) 808-826. Skyline: bottom-left places,
//          B. Chazelle, "The bottom-left bin-packing heuristic: an efficient implementation",
//          IEEE Trans. Computers C-32 (1983) 697-707. Both from memory.
#pragma once

#include <vector>

#include "geometry/path.h"

namespace underdraw {

struct PackOptions {
  double spacing_mm = 3.0;  // between the boxes of neighbours; >= 0
};

struct PackedSpot {
  std::size_t sheet = 0;  // 0-based
  Affine sheet_from_item;
};

bool fits(const Path& outline, const Box& room);

// One spot an outline, in their order.
std::vector<PackedSpot> pack_sheets(const std::vector<Path>& outlines,
                                    const Box& room,
                                    const PackOptions& options = {});

}  // namespace underdraw
