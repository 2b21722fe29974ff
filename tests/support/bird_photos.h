// A bird of no measurable form, photographed by hand without a mat before and after a coat.
//
// Frames: the bird's board (tests/support/photo_body.h) and photos as in photo/camera.h.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "support/photo_scene.h"

namespace underdraw::test {

struct BirdPhotos {
  std::vector<std::vector<FacePoint>> lines;  // drawn on the bird, 0.25 mm from point to point
  Shot before_shot, after_shot;
  cv::Mat before, after;
  std::shared_ptr<PhotoMaker> made_before, made_after;

  // Of a point of the bird, where a photo shows it at less than 75°.
  std::optional<Vec2> px_before(FacePoint point) const;
  std::optional<Vec2> px_after(FacePoint point) const;
  double px_per_mm_after(FacePoint point) const;  // across the line of sight
};

struct BirdDay {
  std::function<bool(FacePoint)> covered{};  // by the opaque coat of the photo after; nothing: none
  HandHeld before{.elevation_deg = 24.0,
                  .distance_mm = 260.0,
                  .aim_height_mm = 45.0,
                  .longer_px = 1120,
                  .seed = 3};
  HandHeld after{.elevation_deg = 27.0,
                 .azimuth_deg = 4.0,
                 .distance_mm = 275.0,
                 .aim_height_mm = 47.0,
                 .longer_px = 1120,
                 .seed = 4};
  double exposure_after = 0.7;
  Standing stands_after{};  // against where it stood before
  bool another_table = false;
  bool large_copies = false;  // 30 instead of 22 mm: lines do not run together
  std::uint32_t seed = 1;
};

BirdPhotos photograph_bird(const BirdDay& day);

}  // namespace underdraw::test
