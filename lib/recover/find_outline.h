// Where the outline of a piece would be seen in photos, by how it is thought to stand.
//
// Stage:   recover, internal to fit_standing.cpp.
// Frames:  photo: px; mm at the piece, across the line of sight.
// How:     a round face: limbs of the wall that nothing hides, its foot's near side. A flat one:
// the
//          far sides' upper edges, the near sides' lower ones.
// Source:  own construction; on a limb the surface's normal is at right angles to the line of
// sight.
#pragma once

#include <vector>

#include "recover/standing_unknowns.h"

namespace underdraw {

struct OutlinePlace {
  std::size_t photo = 0;
  OutlineSpot spot;
  Vec2 px;
  Vec2 outward;  // unit, photo
  double px_per_mm = 1.0;
  std::vector<double> way;  // mm outward per unit of each unknown
};

// `step_mm` apart.
std::vector<OutlinePlace> outline_places(const Surface& surface,
                                         const StandingUnknowns& unknowns,
                                         const std::vector<FacePhoto>& photos,
                                         double step_mm);

}  // namespace underdraw
