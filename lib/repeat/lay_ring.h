// Style ring: copies round a point, each standing outward.
//
// Stage:   repeat. Pure.
// In/out:  as lay_rows.h. The first copy stands above the point, the others follow clockwise.
// Closure: copy i of n stands at 360 i / n degrees, never at the sum of those before it; whatever
//          mirrors every second copy closes on even counts only.
// Refuses: more copies than fit, a radius within the motifs (GeometryError).
#pragma once

#include "repeat/lay_rows.h"

namespace underdraw {

LaidCopies lay_ring(const RepeatJob& job, const Surface& surface);

}  // namespace underdraw
