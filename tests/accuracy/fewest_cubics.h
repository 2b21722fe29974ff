// The fewest cubic pieces that a line needs: what a traced line's pieces are counted against.
//
// In/out:  one unit throughout (mm in this project).
// Source:  own construction: the longest prefix that one cubic can follow, again and again. That
//          is the fewest when a part of what fits also fits. Pieces need not join smoothly, but
//          they join on the line, at its ends and at corners of more than 35 degrees.
#pragma once

#include <cstddef>

#include "geometry/path.h"

namespace underdraw::test {

// Cubics that stay within `tolerance` (> 0) of the path; 0 for a dot.
std::size_t fewest_cubics(const Path& path, double tolerance = 0.03);

}  // namespace underdraw::test
