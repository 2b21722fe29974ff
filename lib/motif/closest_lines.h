// Places where two stretches of a drawing's ink face each other across a gap.
//
// Stage:   motif. Pure. Used by line_detail, whose header says what counts as a gap.
// In/out:  frame and unit of the linework.
// Source:  own construction: least distances between stretches of line within a window that grows
//          with the distance, found ring by ring of distance so that near ones come first.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include "motif/ink_pieces.h"

namespace underdraw {

struct Facing {
  Vec2 from, to;         // on the centrelines, or on an area's outline
  double half_from = 0;  // ink's half width there
  double half_to = 0;
  InkKind kind_from = InkKind::stroke, kind_to = InkKind::stroke;
  bool same_line = false;
  bool neck = false;  // across the inside of an area, so a width and not a gap

  double apart() const { return distance(from, to); }
  double gap() const { return apart() - half_from - half_to; }
  Vec2 middle() const;  // of the white, or of the neck
};

struct ClosestFacings {
  std::optional<Facing> gap;       // with the least gap
  std::optional<Facing> limiting;  // gap with the largest `least_scale`
  std::optional<Facing> neck;
};

// `least_scale` must fall as the gap widens and never exceed scale_reach / gap. Necks from
// `widest_neck` on are not looked for.
ClosestFacings closest_facings(const Linework& lines,
                               double usual_width,
                               const std::function<double(const Facing&)>& least_scale,
                               double scale_reach,
                               double widest_neck);

}  // namespace underdraw
