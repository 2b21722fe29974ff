// Closed polygons, and what many stages ask of them.
//
// Stage:   geometry. Pure.
// In/out:  any plane frame. Rings are not closed by repetition; several are taken even-odd.
// Source:  crossing number, as in any textbook; hull by Andrew's monotone chain (A. M. Andrew,
//          Another efficient algorithm for convex hulls in two dimensions, IPL 9, 1979); fewer
//          points after D. H. Douglas, T. K. Peucker, Algorithms for the reduction of the number
//          of points required to represent a digitized line or its caricature, Cartographica 10
//          (1973) 112-122.
#pragma once

#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

using Ring = std::vector<Vec2>;
using Rings = std::vector<Ring>;

Box box_of(const Ring& ring);
Box box_of(const Rings& rings);

// The box's corners as one ring.
Rings ring_of(const Box& box);

bool inside(const Ring& ring, Vec2 p);
bool inside(const Rings& rings, Vec2 p);

double distance_to_segment(Vec2 p, Vec2 a, Vec2 b);

// Its corners in order; signed_area is positive.
Ring convex_hull(Ring points);

// As few of the points as keep the line, or the ring, within the tolerance (> 0) of where it was.
std::vector<Vec2> simpler_line(const std::vector<Vec2>& points, double tolerance);
Ring simpler_ring(const Ring& ring, double tolerance);

}  // namespace underdraw
