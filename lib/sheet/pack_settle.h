// Draws shapes apart that overlap by a hair, until they touch.
//
// Stage:   sheet. Pure.
// In/out:  mm, room's frame.
// Source:  own construction: each corner that lies inside another outline is pushed out over the
//          nearest side, both shapes giving way, again and again.
#pragma once

#include <optional>
#include <vector>

#include "sheet/pack_shape.h"

namespace underdraw {

// Poses near the given ones where whole outlines, not only skins, overlap by less than 1e-9 mm and
// stay in the room, whose right side may lie at infinity; nothing when there is no way.
std::optional<std::vector<PackPose>> settle_poses(const std::vector<const PackShape*>& shapes,
                                                  const std::vector<PackPose>& poses,
                                                  const Box& room);

}  // namespace underdraw
