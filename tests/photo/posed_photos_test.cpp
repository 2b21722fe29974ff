// From rendered pixels to poses: what the marks and the bundle reach together. Bounds are a little
// above what was measured; the truth is the renderer's own.
#include <gtest/gtest.h>

#include "photo/camera_pose.h"
#include "photo/find_marks.h"
#include "photo/jar_photos.h"

namespace underdraw::test {
namespace {

struct Reached {
  double worst_miss_mm = 0.0;  // rms over a photo's face points, the worst photo
  double focal_off = 0.0;      // relative
};

struct Take {
  std::vector<HandHeld> holds;
  double blur_px = 0.7;
  double noise = 0.006;
  double stated_off = 0.01;
};

Reached reached(const PhotoMaker& maker, const Take& take) {
  std::vector<PosePhoto> photos;
  std::vector<Shot> shots;
  for (const HandHeld& hold : take.holds) {
    Shot shot = hand_held(hold);
    shot.blur_px = take.blur_px;
    shot.noise = take.noise;
    photos.push_back(
        {find_marks(maker.grey_photo(shot)), shot.camera.focal_px * (1.0 + take.stated_off)});
    shots.push_back(shot);
  }
  const CameraPoses poses = camera_poses(photos);
  Reached out;
  out.focal_off = poses.camera.focal_px / shots[0].camera.focal_px - 1.0;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    out.worst_miss_mm =
        std::max(out.worst_miss_mm,
                 miss_at_piece_mm(maker, shots[i], poses.photos[i].camera, poses.photos[i].pose));
  }
  std::printf("[ reached  ] miss %.3f mm, focal length %+.2f %%\n",
              out.worst_miss_mm,
              100.0 * out.focal_off);
  return out;
}

std::vector<HandHeld> around(int count, double elevation_deg, unsigned seed) {
  std::vector<HandHeld> holds;
  for (int i = 0; i < count; ++i) {
    HandHeld hold;
    hold.azimuth_deg = i * 360.0 / count;
    hold.elevation_deg = elevation_deg + (i % 2 == 0 ? 0.0 : 8.0);
    hold.distance_mm = 430.0;
    hold.longer_px = 1280;
    hold.seed = seed + static_cast<unsigned>(i);
    holds.push_back(hold);
  }
  return holds;
}

TEST(PosedPhotos, FourPhotosRoundAJar) {
  const Reached r = reached(PhotoMaker(jar_scene()), {around(4, 25.0, 10)});
  EXPECT_LT(r.worst_miss_mm, 0.08);
  EXPECT_LT(std::abs(r.focal_off), 0.004);
}

// Another hand, a lamp on the other side, a lens that bends the other way, and EXIF 2 % low.
TEST(PosedPhotos, FourPhotosByAnotherCamera) {
  Scene scene = jar_scene();
  scene.seed = 2;
  scene.to_light = {-0.5, -0.2, 0.8};
  Take take{around(4, 25.0, 20)};
  for (HandHeld& hold : take.holds) {
    hold.k1 = -0.12;
    hold.k2 = 0.05;
    hold.focal_share = 0.7;
    hold.distance_mm = 390.0;
  }
  take.stated_off = -0.02;
  const Reached r = reached(PhotoMaker(scene), take);
  EXPECT_LT(r.worst_miss_mm, 0.08);
  EXPECT_LT(std::abs(r.focal_off), 0.004);
}

TEST(PosedPhotos, OnePhotoAlone) {
  const Reached r = reached(PhotoMaker(jar_scene()), {around(1, 35.0, 5)});
  EXPECT_LT(r.worst_miss_mm, 0.15);
  EXPECT_LT(std::abs(r.focal_off), 0.012);
}

TEST(PosedPhotos, HalfTheMatHiddenWithGlareBlurAndNoise) {
  Scene scene = jar_scene();
  scene.covers = {{{-140.0, -160.0}, {0.0, 160.0}, {0.3f, 0.3f, 0.35f}}};
  scene.glare = {{{70.0, -80.0}, 25.0, 1.5}};
  Take take{around(4, 30.0, 30)};
  for (std::size_t i = 0; i < take.holds.size(); ++i) {
    // From the side that is left, else the jar hides it too.
    take.holds[i].azimuth_deg = 25.0 * static_cast<double>(i) + 10.0;
    take.holds[i].longer_px = 1600;
  }
  take.blur_px = 1.3;
  take.noise = 0.015;
  const Reached r = reached(PhotoMaker(scene), take);
  EXPECT_LT(r.worst_miss_mm, 0.15);
  EXPECT_LT(std::abs(r.focal_off), 0.012);
}

TEST(PosedPhotos, PortraitFromAboveOnATile) {
  Scene scene;
  scene.mat.tile_mm = Vec2{100.0, 100.0};
  const Surface face = surface_of({"tile", FlatFace{100, 100, {}, 0}, {}, 1.0});
  scene.body = tile_body(face, 8.0);
  const PhotoMaker maker(scene);
  std::vector<HandHeld> holds = around(2, 55.0, 40);
  for (HandHeld& hold : holds) hold.portrait = true;
  std::vector<PosePhoto> photos;
  std::vector<Shot> shots;
  for (const HandHeld& hold : holds) {
    shots.push_back(hand_held(hold));
    photos.push_back({find_marks(maker.grey_photo(shots.back())), shots.back().camera.focal_px});
  }
  const CameraPoses poses = camera_poses(photos);
  for (std::size_t i = 0; i < shots.size(); ++i) {
    double worst = 0.0;
    for (const FacePoint p :
         {FacePoint{2, 2}, FacePoint{98, 2}, FacePoint{50, 50}, FacePoint{2, 98}}) {
      const Vec3 point = maker.face_in_mat(p);
      const SightRay ray =
          sight_ray(poses.photos[i].camera, poses.photos[i].pose, *maker.px_of(shots[i], p))
              .value();
      worst = std::max(worst, length(cross(point - ray.from, ray.towards)));
    }
    EXPECT_LT(worst, 0.05);
  }
}

}  // namespace
}  // namespace underdraw::test
