// White that ink closes in, and how wide shapes are at their widest place.
//
// Stage:   motif. Pure. Used by line_detail.
// In/out:  frame and unit of the linework.
// Refuses: coordinates beyond 100 m (GeometryError).
// Source:  union of the strokes' outlines (polyclipping); largest inscribed circle by halving
//          squares, best first: branch and bound on the distance to the outline, own construction.
#pragma once

#include <optional>
#include <vector>

#include "geometry/linework.h"

namespace underdraw {

struct InnerDisc {
  Vec2 at;
  double width = 0.0;  // diameter
};

// Largest disc inside an even-odd shape, to 0.5 % of its width or better. Nothing when it is
// certain to be wider than `no_wider`, or when the shape is empty.
std::optional<InnerDisc> inner_disc(const std::vector<std::vector<Vec2>>& shape, double no_wider);

// The closed loop that fills up first: of all white closed in by ink, the one whose largest disc is
// smallest, leaving out those below `least`.
std::optional<InnerDisc> smallest_loop(const Linework& lines, double tolerance, double least);

// Of all parts of areas, the one that is narrowest at its widest place.
std::optional<InnerDisc> narrowest_area(const Linework& lines, double tolerance);

}  // namespace underdraw
