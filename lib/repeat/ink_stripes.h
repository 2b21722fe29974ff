// Straight stripes that the eye may find in ink: bare corridors, and light and dark lines.
//
// Stage:   repeat. Pure.
// Source:  own construction: parallel lines through a window, in all directions.
#pragma once

#include "repeat/ink_raster.h"

namespace underdraw {

struct Stripes {
  double corridor_mm = 0.0;   // widest over all windows and directions; 0: none
  double corridor_deg = 0.0;  // clockwise from across
  double variation = 0.0;     // largest over the directions, mean over the windows
  double variation_deg = 0.0;
};

// Windows are squares of `window_mm`, as many as cover the face; lines are `step_mm` apart. Lines
// that the face cuts to less than half of the longest do not count.
Stripes look_for_stripes(const SpacedPlane& plane,
                         const InkRaster& raster,
                         double window_mm,
                         double step_mm);

}  // namespace underdraw
