// The paint map on paper: every face with its areas in the greys of their colours, every motif with
// its areas lettered, and every area with its size.
//
// Stage:   coats. Pure.
// In/out:  the placements and their paint map; pages in mm.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "coats/coat_plan.h"
#include "coats/paint_map.h"
#include "sheet/draw_map.h"

namespace underdraw {

// What a colour looks like on paper that has only greys; white when it is still to be chosen.
Grey tint_of(std::optional<std::size_t> colour);

// "teal", or "colour to be chosen".
std::string colour_words(const PaintMap& map, std::optional<std::size_t> colour);

// First the motifs with their letters, then a page a face, then the sizes.
std::vector<Drawing> draw_paint_map(const std::string& piece,
                                    const PaintMap& map,
                                    const std::vector<PlacedFace>& faces,
                                    const std::vector<Motif>& motifs,
                                    const MapOptions& options = {});

}  // namespace underdraw
