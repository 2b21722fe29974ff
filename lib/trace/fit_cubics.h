// Few smooth cubic Bézier pieces through many measured points.
//
// Stage:   trace. Pure.
// In/out:  one unit throughout (mm in this project).
// Source:  own construction: pieces as long as the scatter of the points allows, found by least
//          squares with all four control points free, then settled together (settle_knots.h).
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/path.h"

namespace underdraw {

struct FitOptions {
  double tolerance = 0.03;  // largest distance of the curve from the evened points; > 0
  double even_over = 0.5;   // length of line over which points are averaged to judge that; > 0
  double gather = 0.0;      // length of line whose points become one before they are fitted; >= 0
  int rounds = 20;          // in which the knots are settled, at most
};

// `corners`: indices of points where the line may turn sharply (sorted); the ends are understood.
// Everywhere else pieces join without a kink. Fewer than two points give a dot. A closed line does
// not repeat its first point and joins itself smoothly unless index 0 is a corner.
// `weights`: what each point counts for, 0 and up; empty: all the same.
Path fit_cubics(const std::vector<Vec2>& points,
                const std::vector<std::size_t>& corners,
                bool closed,
                const FitOptions& options,
                const std::vector<double>& weights = {});

}  // namespace underdraw
