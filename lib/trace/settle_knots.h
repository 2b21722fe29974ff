// Moves the knots of a smooth line so that all its cubic pieces together lie closest to the
// measured points.
//
// Stage:   trace. Pure.
// In/out:  one unit throughout (mm in this project).
// Source:  Gauss-Newton on distances along the normal, feet found anew in every round, as in
//          W. Wang, H. Pottmann, Y. Liu, "Fitting B-spline curves to point clouds by
//          curvature-based squared distance minimization", ACM Trans. Graphics 25 (2006), there
//          called tangent distance; damped as by Levenberg and Marquardt.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/path.h"

namespace underdraw {

// Where two pieces join. A smooth knot has one direction, a corner two.
struct Knot {
  Vec2 at;
  double angle_in = 0.0;   // rad, direction of travel before it
  double angle_out = 0.0;  // and after it; the same unless it is a corner
  double reach_in = 0.0;   // distance to the control point before it
  double reach_out = 0.0;  // and to the one after it
  bool corner = false;
};

// A measured place of the line. `piece` and `t` say where its foot on the curve is.
struct FitPoint {
  Vec2 at;
  double weight = 1.0;  // 0 and up
  std::size_t piece = 0;
  double t = 0.0;
  double readings = 1.0;    // that it is the mean of
  bool holds_knot = false;  // it lies at a corner or an end, and holds that in length too
};

struct KnotLine {
  std::vector<Knot> knots;  // of an open line also its two ends
  bool closed = false;

  std::size_t piece_count() const { return closed ? knots.size() : knots.size() - 1; }
  Cubic piece(std::size_t i) const;
};

struct SettleOptions {
  int rounds = 20;        // with all points listened to, and as many with outliers left aside
  double outlier = 0.06;  // a point this far off counts a quarter; > 0
};

// `points` in order along the line; their feet are kept up to date.
void settle_knots(KnotLine& line, std::vector<FitPoint>& points, const SettleOptions& options);

}  // namespace underdraw
