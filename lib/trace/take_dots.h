// Dots of a drawing: spots of ink about as wide as they are long.
//
// Stage:   trace. Pure.
// In/out:  px of the density image, pixel centres at +0.5.
#pragma once

#include <vector>

#include "geometry/vec2.h"
#include "trace/ink_mask.h"

namespace underdraw {

struct InkDot {
  Vec2 at;             // centroid of its ink
  double width = 0.0;  // px across at half its darkness
};

struct TakeDotsOptions {
  double px_per_mm = 11.8;    // > 0
  double smallest_mm = 0.22;  // across; what is smaller is dust and is dropped
  double largest_mm = 1.45;   // across; what is larger is drawn with lines
};

// Takes the dots, and the dust, out of the ink and returns the dots. A tiny ring is not a dot: it
// has paper in its middle.
std::vector<InkDot> take_dots(InkMask& mask, const TakeDotsOptions& options);

}  // namespace underdraw
