// A test tile on the middle of its mat, under light that a kitchen table may have.
#pragma once

#include <vector>

#include "support/photo_scene.h"

namespace underdraw::test {

struct TileScene {
  const char* name = "";
  Rgb colour{0.05f, 0.2f, 0.19f};  // teal
  LightOnMat light = {};
  double exposure = 1.0;
  double gloss = 0.0;
  double elevation_deg = 60.0;
  int longer_px = 1280;
};

Scene tile_scene(const TileScene& how);
Shot tile_shot(const TileScene& how);

// The mean over a round spot in the tile's middle, mottled as it is.
Rgb painted_on_tile(const TileScene& how, double radius_mm);

}  // namespace underdraw::test
