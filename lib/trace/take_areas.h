// Areas drawn solid: ink far thicker than the pen, and no long brush line.
//
// Stage:   trace. Pure.
// In/out:  px of the density image, pixel centres at +0.5.
// Source:  own construction: morphological opening; outlines moved to half darkness.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/vec2.h"
#include "trace/ink_mask.h"
#include "trace/thin.h"

namespace underdraw {

// One closed outline, its first point not repeated.
struct InkRing {
  std::vector<Vec2> points;
  std::vector<std::size_t> corners;  // indices where it turns sharply
};

struct InkArea {
  std::vector<InkRing> rings;  // the outer one first, then holes
};

struct TakeAreasOptions {
  double px_per_mm = 11.8;  // > 0
  double times_pen = 1.8;   // an area is at least this much thicker than the pen
  double longest = 5.0;     // area over that of its largest inner disc; longer is a brush line
};

// Takes the areas out of the ink and returns them; lines that run into them stay, and smudges go.
// `thinned` is the mask thinned, and is thinned anew when the ink has changed.
std::vector<InkArea> take_areas(InkMask& mask, Thinned& thinned, const TakeAreasOptions& options);

}  // namespace underdraw
