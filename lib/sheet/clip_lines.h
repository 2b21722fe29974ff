// Drawings cut off at a line or a box.
//
// Stage:   sheet. Pure.
// Source:  Y.-D. Liang, B. A. Barsky, A new concept and method for line clipping, ACM Trans.
//          Graphics 3 (1984) 1-22; polygons side by side after I. E. Sutherland, G. W. Hodgman,
//          Reentrant polygon clipping, Commun. ACM 17 (1974) 32-42. Both from memory.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "geometry/linework.h"
#include "geometry/rings.h"
#include "geometry/vec2.h"

namespace underdraw {

// The part of a straight line inside a box, as shares of its length; from > to: none.
struct ClippedSpan {
  double from = 1.0;
  double to = 0.0;

  bool empty() const { return from > to; }
};
ClippedSpan clipped(Vec2 from, Vec2 to, const Box& box);

// True when the rings' lines cross the box, or they hold it.
bool touches(const Rings& rings, const Box& box);

// The pieces of a polyline where `inside` is above 0; it is taken to be linear between points.
std::vector<std::vector<Vec2>> pieces_inside(const std::vector<Vec2>& points,
                                             const std::vector<double>& inside);

// The part of a closed ring where `inside` is above 0, closed along straight ways.
std::vector<Vec2> ring_inside(const std::vector<Vec2>& ring, const std::vector<double>& inside);

// The part of a closed ring inside a box, closed along straight ways.
std::vector<Vec2> ring_inside(std::vector<Vec2> ring, const Box& box);

// The pieces of a polyline inside a box.
std::vector<std::vector<Vec2>> pieces_inside(const std::vector<Vec2>& points, const Box& box);

// What lies inside the box: strokes end at its edge, and what it does not cut stays as it is.
Linework inside_box(const Linework& lines, const Box& box, double tolerance_mm);

// What has x below 0, its curves as straight pieces within the tolerance.
Linework left_of_axis(const Linework& lines, double tolerance_mm);

}  // namespace underdraw
