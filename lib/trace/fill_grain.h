// Fills the pinholes that the paper's tooth leaves in broad marks: a brush line or a filling in
// pencil is one mark and not a net of crumbs.
//
// Stage:   trace. Pure.
// In/out:  the ink mask, px.
// Source:  own construction: closing, kept only inside what is broad all round.
#pragma once

#include "trace/ink_mask.h"

namespace underdraw {

struct FillGrainOptions {
  double px_per_mm = 11.8;      // > 0
  double broad_mm = 1.1;        // marks thinner than this are left alone; > 0
  double pinhole_mm = 0.3;      // a hole this wide may be grain; > 0
  double largest_mm2 = 0.05;    // a larger hole was left by the hand, as between hatched lines
  double most_holes = 0.15;     // share of a mark; more is a pattern
  double least_mark_mm2 = 3.0;  // smaller broad places are blots where lines meet
};

// False when nothing was filled.
bool fill_grain(InkMask& mask, const FillGrainOptions& options);

}  // namespace underdraw
