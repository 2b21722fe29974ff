// Covered lines brought back from photos, as they lie on the faces of a piece.
//
// Stage:   recover. Pure.
// In/out:  the face's own frame: (a, s) on a round face, degrees and mm; (x, y) mm on a flat one;
// the
//          photo's px for a stroke that could only be placed in a photo.
// Source:  own construction.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

struct RecoveredStroke {
  std::optional<int> placement;  // whose line it is; none: as found, of no known motif
  double seen = 0.0;             // share of its length that the photos show, 0 to 1
  std::string photo;             // not empty: `points` are px of this photo
  std::vector<Vec2> points;      // one point is a dot
};

struct RecoveredFace {
  std::string name;
  std::vector<RecoveredStroke> strokes;
};

// A stroke through the seam stays one stroke: the same points on a round face with the first angle
// in [0, 360) and every other within half a turn of the one before, so that angles run on past 360
// or below 0 instead of jumping.
std::vector<Vec2> run_on_through_seam(std::vector<Vec2> points_a_deg_s_mm);

}  // namespace underdraw
