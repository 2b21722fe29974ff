// Measures packed outlines: do they overlap, do they keep their clearance, do they stay inside?
//
// Stage:   sheet. Pure; shares no code with the search that packs.
// In/out:  mm, outlines as they lie, one simple ring each.
// Source:  own construction from definitions: sides against sides, and what lies between their
//          crossings against the other outline.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

// Smallest distance between two outlines; 0 when they overlap, touch or one holds the other.
double outline_distance(const std::vector<Vec2>& a, const std::vector<Vec2>& b);

// How far an outline reaches into the other, at least: 0 when they only touch. Every overlap whose
// widest place is w is found with at least some of its depth.
double overlap_depth(const std::vector<Vec2>& a, const std::vector<Vec2>& b);

struct PackingFault {
  std::size_t first = 0, second = 0;  // the same one twice: it leaves the room
  double by_mm = 0.0;                 // what is missing of the clearance, or overlap, or beyond
};

// The worst fault beyond 1e-7 mm, if any. Outlines on different sheets are not to be mixed.
std::optional<PackingFault> find_packing_fault(const std::vector<std::vector<Vec2>>& lying,
                                               const Box& room,
                                               double clearance_mm);

}  // namespace underdraw
