// Outlines such as motifs are cut out along: lobes and bays, 18 to 36 mm across.
#pragma once

#include <vector>

#include "geometry/vec2.h"
#include "support/seeded.h"

namespace underdraw::test {

inline std::vector<std::vector<Vec2>> lobed_outlines(unsigned seed, int count) {
  Dice dice(seed);
  std::vector<std::vector<Vec2>> out;
  for (int i = 0; i < count; ++i) {
    const double lobes = std::floor(dice.uniform(3.0, 8.0));
    const double lobe_depth = dice.uniform(0.08, 0.3), lobe_turn = dice.uniform(0.0, 6.28);
    const double bend = dice.uniform(0.0, 0.15), bend_turn = dice.uniform(0.0, 6.28);
    const double narrow = dice.uniform(0.55, 1.0);
    std::vector<Vec2> ring;
    Box box;
    for (int k = 0; k < 120; ++k) {
      const double t = 2.0 * std::numbers::pi * k / 120;
      const double r =
          1.0 + lobe_depth * std::sin(lobes * t + lobe_turn) + bend * std::sin(2 * t + bend_turn);
      ring.push_back({r * std::cos(t), narrow * r * std::sin(t)});
      box.add(ring.back());
    }
    const double scale = dice.uniform(18.0, 36.0) / std::max(box.width(), box.height());
    for (Vec2& p : ring) p = p * scale;
    out.push_back(ring);
  }
  return out;
}

}  // namespace underdraw::test
