// The piece from all sides, with its arrangement on it: what one wants to see before cutting paper.
//
// Stage:   sheet. Pure.
// In/out:  placements on their faces; pages in mm. Not to measure from.
#pragma once

#include <string>
#include <vector>

#include "sheet/draw_map.h"
#include "sheet/piece_view.h"

namespace underdraw {

// A page for each face that is not flat, and one for all flat ones together; faces without a
// placement are left out. On its side where that draws it larger.
std::vector<Drawing> draw_views(const std::string& piece,
                                const std::vector<PlacedFace>& faces,
                                const std::vector<Motif>& motifs,
                                const MapOptions& options = {});

}  // namespace underdraw
