// The scene that most tests of photos look at: a bellied jar on the A4 mat.
#pragma once

#include <numbers>

#include "support/photo_scene.h"

namespace underdraw::test {

constexpr double kJarFootMm = 280.0 / std::numbers::pi;

inline Surface jar_wall() {
  return surface_of({"wall", TurnedFace{{{0, 280}, {40, 372}, {95, 300}}}, {}, 1.0});
}

inline Scene jar_scene(const std::vector<FaceLine>& lines = {}) {
  Scene scene;
  scene.mat.foot_mm = kJarFootMm;
  scene.body = turned_body(jar_wall());
  Coat coat;
  coat.gloss = 0.4;
  scene.texture = std::make_shared<FaceTexture>(jar_wall(), lines, coat, 8.0);
  return scene;
}

// How far the lines of sight of a posed camera pass from what they should meet: rms over the face
// points that the photo shows, mm.
inline double miss_at_piece_mm(const PhotoMaker& maker,
                               const Shot& shot,
                               const Camera& camera,
                               const CameraPose& pose) {
  double sum = 0.0;
  int count = 0;
  for (double a = 0.0; a < 360.0; a += 15.0) {
    for (double s = 5.0; s <= 95.0; s += 15.0) {
      if (!maker.sees(shot, {a, s})) continue;
      const Vec3 point = maker.face_in_mat({a, s});
      const SightRay ray = sight_ray(camera, pose, *maker.px_of(shot, {a, s})).value();
      const Vec3 way = cross(point - ray.from, ray.towards);
      sum += dot(way, way);
      ++count;
    }
  }
  return count > 0 ? std::sqrt(sum / count) : 1e9;
}

}  // namespace underdraw::test
