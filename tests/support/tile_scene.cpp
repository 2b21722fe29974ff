#include "support/tile_scene.h"

#include <cmath>

namespace underdraw::test {
namespace {

constexpr double kTileMm = 60.0;

}  // namespace

Scene tile_scene(const TileScene& how) {
  const Surface face = surface_of({"tile", FlatFace{kTileMm, kTileMm}, {}, 1.0});
  Scene scene;
  scene.mat.tile_mm = Vec2{kTileMm, kTileMm};
  scene.body = tile_body(face, 6.0);
  Coat coat;
  coat.colour = how.colour;
  coat.gloss = how.gloss;
  scene.texture = std::make_shared<FaceTexture>(face, std::vector<FaceLine>{}, coat, 8.0);
  scene.light = how.light;
  return scene;
}

Shot tile_shot(const TileScene& how) {
  HandHeld hold;
  hold.elevation_deg = how.elevation_deg;
  hold.azimuth_deg = 15.0;
  hold.distance_mm = 330.0;
  hold.portrait = true;
  hold.aim_height_mm = 0.0;
  hold.longer_px = how.longer_px;
  Shot shot = hand_held(hold);
  shot.exposure = how.exposure;
  shot.samples = 1;
  return shot;
}

Rgb painted_on_tile(const TileScene& how, double radius_mm) {
  const Scene scene = tile_scene(how);
  Rgb sum;
  float count = 0.0f;
  for (double x = -radius_mm; x <= radius_mm; x += 0.5) {
    for (double y = -radius_mm; y <= radius_mm; y += 0.5) {
      if (std::hypot(x, y) > radius_mm) continue;
      sum = sum + scene.texture->colour_at({0.5 * kTileMm + x, 0.5 * kTileMm - y});
      count += 1.0f;
    }
  }
  return sum * (1.0f / count);
}

}  // namespace underdraw::test
