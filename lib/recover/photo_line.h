// A recovered line where it lies in a photo.
//
// Stage: recover. Pure values.
// Frame: px of a picture, a pixel's corner is (0, 0).
#pragma once

#include <optional>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

struct PhotoLine {
  std::optional<int> placement;  // whose line it is; none: of no known motif
  bool covered = true;           // false: the photo still shows it
  std::vector<Vec2> px;          // one point is a dot
};

}  // namespace underdraw
