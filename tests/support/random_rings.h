// Shapes that look random: simple rings with bays and tongues.
#pragma once

#include "geometry/outline.h"
#include "support/seeded.h"

namespace underdraw::test {

// Seen from its centre every direction meets it once, so it does not cross itself.
inline std::vector<Vec2> random_ring(Dice& dice, Vec2 centre, double radius, int corners = 24) {
  std::vector<Vec2> ring;
  for (int i = 0; i < corners; ++i) {
    const double turn = 360.0 * (i + dice.uniform(0.0, 0.8)) / corners;
    ring.push_back(centre + Affine::turn_deg(turn) * Vec2{radius * dice.uniform(0.3, 1.0), 0.0});
  }
  return ring;
}

inline Rings random_rings(Dice& dice, int count, double size, double radius) {
  Rings rings;
  for (int i = 0; i < count; ++i) {
    rings.push_back(random_ring(
        dice, {dice.uniform(0.0, size), dice.uniform(0.0, size)}, radius * dice.uniform(0.4, 1.0)));
  }
  return rings;
}

}  // namespace underdraw::test
