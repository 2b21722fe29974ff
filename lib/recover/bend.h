// A drawing moved, turned and sized, then bent smoothly, as a hand does that draws on a curved
// wall.
//
// Stage:   recover, internal to match_lines.cpp.
// Frame:   one plane, mm; "drawn" before, "bent" after.
// Source:  displacement as uniform cubic B-splines on a grid: S. Lee et al., Scattered data
//          interpolation with multilevel B-splines, TVCG 3 (1997); P. Eilers, B. Marx, Flexible
//          smoothing with B-splines and penalties, Statistical Science 11 (1996).
#pragma once

#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

// A point of the drawing that should move by `off` along the unit direction `across`.
struct BendPull {
  Vec2 drawn;
  Vec2 across;
  double off = 0.0;
  double weight = 1.0;
};

class Bend {
 public:
  // Without a bend; for drawings that lie in `drawn_box`.
  Bend(const Affine& moved_from_drawn, const Box& drawn_box);

  Vec2 bent(Vec2 drawn) const;
  Vec2 bent_along(Vec2 drawn, Vec2 along) const;  // unit
  Vec2 moved_origin() const { return bent(middle_) - middle_; }

  // Least squares over all pulls. `stiff` weighs second differences of the grid's displacements
  // against them: at 300 only slopes are left, at 3 a bend over 20 mm.
  void pull(const std::vector<BendPull>& pulls, double stiff);

  // The shift, turn and size that come closest to all this, about the drawing's origin.
  Affine nearest_placing() const;

 private:
  struct Spline {
    std::size_t first = 0;  // of 4 x 4 knots
    double weights[16];
  };
  Spline spline_at(Vec2 drawn) const;

  Affine moved_;
  Box box_;
  Vec2 middle_;
  int columns_ = 4, rows_ = 4;  // knots
  Vec2 step_;
  std::vector<Vec2> knots_;  // displacements
};

}  // namespace underdraw
