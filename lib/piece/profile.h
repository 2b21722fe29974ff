// The outline that a wall turns about its axis: radius and height along the wall.
//
// Stage:   piece. Pure.
// Frame:   s in mm along the wall from the foot upward; radius from the axis; height above the
// foot. Refuses: readings that are not a wall: out of order, negative, or wider apart in radius
// than
//          along the wall (GeometryError).
// Source:  cubic Hermite pieces; slopes between readings after F. N. Fritsch, R. E. Carlson,
//          Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17 (1980): no overshoot.
#pragma once

#include <vector>

#include "piece/face.h"

namespace underdraw {

// A wall as knots along s with a cubic between each two: exact for straight walls, within 1e-9 of
// the radius for balls.
class Profile {
 public:
  static Profile straight(double foot_radius_mm, double rim_radius_mm, double slant_mm);
  static Profile ball(double radius_mm);  // from pole to pole
  static Profile turned(const TurnedFace& wall, double factor);

  // A part of a torus about the wall's axis: radius `middle_mm` half way up, the wall an arc of
  // radius `arc_mm` (below 0: hollow) and `length_mm` long.
  static Profile arc(double middle_mm, double arc_mm, double length_mm);

  double length_mm() const { return knots_.back().s; }
  double radius_mm(double s) const;  // s is held to [0, length]
  double slope(double s) const;      // of the radius along the wall, -1 to 1
  double height_mm(double s) const;

  // Of the wall between two heights along it, all the way round.
  double area_mm2(double s_from, double s_to) const;

  double widest_mm() const;  // largest radius

 private:
  struct Knot {
    double s, radius, slope, height, area;  // height and area from the foot; area over 2 pi
  };
  enum class Heights { from_slopes, given };
  explicit Profile(std::vector<Knot> knots, Heights heights = Heights::from_slopes);
  std::size_t piece_of(double s) const;

  std::vector<Knot> knots_;
};

}  // namespace underdraw
