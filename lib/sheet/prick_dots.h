// Where a needle goes through the paper along the lines of a drawing.
//
// Stage:   sheet. Pure.
// In/out:  any frame, mm.
// Holds:   both ends of a line and all its corners are pricked; between them holes are as far
//          apart as the pitch or a little closer, equal along each stretch. Holes of lines that
//          meet are not set closer than half a pitch, where paper would tear, unless an end or a
//          corner asks for it; those closer than a hole is wide become one.
// Source:  common practice, no published source: 1.5 to 2 mm apart.
#pragma once

#include <vector>

#include "geometry/linework.h"

namespace underdraw {

// Pitch > 0. In the order of the strokes, then the outlines of areas.
std::vector<Vec2> prick_dots(const Linework& lines, double pitch_mm);

}  // namespace underdraw
