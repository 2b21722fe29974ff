#include "photo/camera.h"

#include <gtest/gtest.h>
#include <opencv2/calib3d.hpp>

#include "support/seeded.h"

namespace underdraw {
namespace {

Camera a_camera() { return {1600, 1200, 1250.0, {806.0, 590.0}, 0.06, -0.08}; }

TEST(Camera, AgreesWithOpenCvsProjection) {
  test::Dice dice(3);
  const Camera camera = a_camera();
  const cv::Matx33d k(1250.0, 0, 806.0, 0, 1250.0, 590.0, 0, 0, 1);
  const std::vector<double> bending{camera.k1, camera.k2, 0.0, 0.0};
  for (int i = 0; i < 200; ++i) {
    const Vec3 turn{dice.uniform(-2, 2), dice.uniform(-2, 2), dice.uniform(-2, 2)};
    const Vec3 shift{dice.uniform(-50, 50), dice.uniform(-50, 50), dice.uniform(300, 600)};
    const Vec3 point{dice.uniform(-90, 90), dice.uniform(-90, 90), dice.uniform(-90, 90)};
    std::vector<cv::Point2d> theirs;
    cv::projectPoints(std::vector<cv::Point3d>{{point.x, point.y, point.z}},
                      cv::Vec3d(turn.x, turn.y, turn.z),
                      cv::Vec3d(shift.x, shift.y, shift.z),
                      k,
                      bending,
                      theirs);
    const auto ours = px_from_mat(camera, CameraPose::from_turn_vector(turn, shift), point);
    ASSERT_TRUE(ours);
    EXPECT_NEAR(ours->x, theirs[0].x, 1e-8);
    EXPECT_NEAR(ours->y, theirs[0].y, 1e-8);
  }
}

TEST(Camera, LooksBackAlongTheRayOfAPixel) {
  test::Dice dice(4);
  const Camera camera = a_camera();
  for (int i = 0; i < 200; ++i) {
    const Vec3 eye{dice.uniform(-400, 400), dice.uniform(-400, 400), dice.uniform(50, 400)};
    const CameraPose pose = CameraPose::looking(eye, {0, 0, 40}, dice.uniform(-180, 180));
    EXPECT_LT(length(pose.eye() - eye), 1e-9);
    const Vec2 px{dice.uniform(0, 1600), dice.uniform(0, 1200)};
    const auto ray = sight_ray(camera, pose, px);
    ASSERT_TRUE(ray);
    const auto back = px_from_mat(camera, pose, ray->from + ray->towards * dice.uniform(100, 900));
    ASSERT_TRUE(back);
    EXPECT_LT(distance(*back, px), 1e-8);
  }
}

TEST(Camera, TurnsSurviveBeingWrittenAsAVectorHalfTurnsToo) {
  test::Dice dice(5);
  for (const double angle : {0.0, 1e-9, 0.3, 1.5, 3.0, 3.14159, std::numbers::pi}) {
    for (int i = 0; i < 50; ++i) {
      const Vec3 axis =
          normalized(Vec3{dice.uniform(-1, 1), dice.uniform(-1, 1), dice.uniform(-1, 1)});
      const CameraPose pose = CameraPose::from_turn_vector(axis * angle, {1, 2, 3});
      const CameraPose again = CameraPose::from_turn_vector(pose.turn_vector(), {1, 2, 3});
      for (std::size_t k = 0; k < 9; ++k) EXPECT_NEAR(pose.turn[k], again.turn[k], 1e-7);
    }
  }
}

TEST(Camera, SaysNothingWhereTheLensFoldsOver) {
  Camera camera = a_camera();
  camera.k1 = -0.3;
  camera.k2 = 0.0;  // r (1 - 0.3 r²) is largest at r = 1.054
  const CameraPose straight = CameraPose::from_turn_vector({}, {});
  EXPECT_TRUE(px_from_mat(camera, straight, {1.0, 0.0, 1.0}));
  EXPECT_FALSE(px_from_mat(camera, straight, {1.1, 0.0, 1.0}));
  EXPECT_FALSE(px_from_mat(camera, straight, {0.1, 0.0, -1.0}));
  EXPECT_FALSE(camera.slope_from_px(camera.centre_px + Vec2{0.75 * camera.focal_px, 0.0}));
}

TEST(Camera, StandsWhereTheMatSaysRightIsRight) {
  // From before the seam tick, x on the mat is to the right in the photo and z is up.
  const Camera camera = a_camera();
  const CameraPose pose = CameraPose::looking({0, -400, 200}, {0, 0, 0});
  const Vec2 middle = px_from_mat(camera, pose, {0, 0, 0}).value();
  EXPECT_GT(px_from_mat(camera, pose, {10, 0, 0})->x, middle.x + 5);
  EXPECT_LT(px_from_mat(camera, pose, {0, 0, 10})->y, middle.y - 5);
}

}  // namespace
}  // namespace underdraw
