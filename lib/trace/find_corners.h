// Places where a line turns sharply.
//
// Stage:   trace. Pure.
// In/out:  px; points about a pixel apart.
// Source:  own construction: turn between chords behind and ahead, told from an even bend by where
//          within the window the turning happens.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

// Indices of the corners, in order. `window` is how many points each way are looked at; a ring
// wraps.
std::vector<std::size_t> find_corners(const std::vector<Vec2>& points, bool ring, int window);

}  // namespace underdraw
