// Outlines round linework: what a drawing covers, and the shape that it is cut out along.
//
// Stage:   geometry. Pure.
// In/out:  mm. Rings are not closed by repetition; outer rings have a positive signed_area (from +x
//          towards +y, clockwise on paper) and there are no holes.
// Refuses: options outside their ranges, coordinates beyond 100 m (OptionError, GeometryError).
// Source:  Minkowski sums with a disc and unions of polygons (polyclipping, 1 unit = 0.1 µm).
#pragma once

#include <vector>

#include "geometry/linework.h"
#include "geometry/rings.h"

namespace underdraw {

struct SilhouetteOptions {
  double close_mm = 1.0;        // gaps and bays narrower than twice this are filled; [0, 50]
  double tolerance_mm = 0.005;  // of curves drawn as polygons; [0.001, 1]

  void validate() const;  // throws OptionError
};

// The outer contours of the drawing: strokes at their pen width, areas solid, openings closed and
// everything inside a contour filled. One ring for each part that stays apart; empty for empty
// linework.
Rings silhouette(const Linework& lines, const SilhouetteOptions& options = {});

// Outlines moved outwards by by_mm with round corners (inwards when negative), those that then
// touch united, holes filled. by_mm in [-200, 200].
Rings outlines_grown(const Rings& rings, double by_mm, double tolerance_mm = 0.005);

// Area that the rings cover together, counted once where they overlap, mm².
double covered_area(const Rings& rings);

// The same rings with the transform applied, turned round when it mirrors.
Rings transformed(const Rings& rings, const Affine& to_from_rings);

}  // namespace underdraw
