// Few smooth cubic Bézier pieces through many measured points.
//
// Stage:   trace. Pure.
// In/out:  one unit throughout (mm in this project).
// Source:  least-squares pieces with chord-length parameters improved by Newton steps, as in
//          P. J. Schneider, "An algorithm for automatically fitting digitized curves", Graphics
//          Gems (1990); here each piece is made as long as the tolerance allows.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/path.h"

namespace underdraw {

struct FitOptions {
  double tolerance = 0.03;   // largest distance of a point from the curve; > 0
  double smooth_over = 0.4;  // length of line from which a direction is read; > 0
};

// `corners`: indices of points where the line may turn sharply (sorted); the ends are understood.
// Everywhere else pieces join without a kink. Fewer than two points give a dot. A closed line does
// not repeat its first point and joins itself smoothly unless index 0 is a corner.
Path fit_cubics(const std::vector<Vec2>& points,
                const std::vector<std::size_t>& corners,
                bool closed,
                const FitOptions& options);

}  // namespace underdraw
