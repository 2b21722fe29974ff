// How a face lies on its map.
//
// Stage:   sheet. Pure.
// Frame:   chart, mm at true size, x right, y down.
// Lies:    flat faces, cylinders, cones and rings as they are, unrolled, rings with the seam in
//          front. Turned walls, balls and patches as a grid of their own coordinates, as wide as
//          the face is where it is widest: angles stay above each other, copies are true about
//          their middles, gaps look wider where the face is narrower.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "piece/face_template.h"
#include "repeat/arrange.h"

namespace underdraw {

class MapChart {
 public:
  explicit MapChart(const PlacedFace& face);

  Vec2 at(FacePoint point) const;

  // Paper laid at a point: exact for a whole copy where the face unrolls, else about the point.
  Affine chart_from_copy(FacePoint at) const;

  // Once to the right over the seam; nothing where there is none.
  std::optional<Affine> once_round() const;

  bool bent() const { return bent_; }  // levels are arcs
  bool full_circle() const { return full_circle_; }
  bool stretched() const { return stretched_; }  // gaps are not true everywhere

  double along_mm() const { return surface_.along_mm(); }
  double across_units() const { return surface_.round() ? 360.0 : surface_.widest_mm(); }
  double mm_per_across() const;

  // Edges as lines close to the curve: levels from left to right, sides from along 0 up.
  std::vector<Vec2> level(double along) const { return level(along, 0.0, across_units()); }
  std::vector<Vec2> level(double along, double from, double to) const;
  std::vector<Vec2> side(double across) const { return side(across, 0.0, along_mm()); }
  std::vector<Vec2> side(double across, double from, double to) const;

 private:
  Surface surface_;
  std::optional<TemplatePart> part_;
  Affine chart_from_part_;
  bool bent_ = false;
  bool full_circle_ = false;
  bool stretched_ = false;
};

// What the ends of `along` and the sides are called: "foot", "rim"; empty where they have no name.
struct EdgeNames {
  std::string low, high;
};
EdgeNames edge_names(const FaceForm& form);

}  // namespace underdraw
