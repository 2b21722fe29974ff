#include "support/photo_scene.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "photo/jar_photos.h"

namespace underdraw::test {
namespace {

TEST(PhotoScene, RaysMeetTheWallWhereThePieceStageSaysItIs) {
  const Surface wall = jar_wall();
  const auto body = turned_body(wall);
  int met = 0;
  for (double a = 1.0; a < 360.0; a += 17.0) {
    for (double s = 1.0; s < 95.0; s += 6.3) {
      const Vec3 at = body->in_space({a, s});
      const Vec3 out = body->outward({a, s});
      for (const Vec3 off : {Vec3{0, 0, 0}, Vec3{0.3, 0.2, 0.4}, Vec3{-0.5, 0.3, 0.1}}) {
        const Vec3 from = at + (out + off) * 150.0;
        const auto hit = body->meet({from, normalized(at - from)});
        ASSERT_TRUE(hit && hit->face) << a << " " << s;
        EXPECT_LT(length(hit->at - at), 0.02);
        EXPECT_LT(std::abs(std::remainder(hit->face->across - a, 360.0)), 0.02);
        EXPECT_NEAR(hit->face->along, s, 0.02);
        EXPECT_GT(dot(hit->normal, out), 0.9999);
        ++met;
      }
    }
  }
  EXPECT_GT(met, 900);
}

TEST(PhotoScene, ATileLiesTheRightWayUp) {
  const Surface face = surface_of({"tile", FlatFace{100, 60, {}, 0}, {}, 1.0});
  const auto body = tile_body(face, 8.0);
  const auto hit = body->meet({{-40, 20, 300}, {0, 0, -1}});
  ASSERT_TRUE(hit && hit->face);
  EXPECT_NEAR(hit->face->across, 10.0, 1e-9);
  EXPECT_NEAR(hit->face->along, 10.0, 1e-9);
  EXPECT_NEAR(hit->at.z, 8.0, 1e-9);
  EXPECT_LT(length(body->in_space(*hit->face) - hit->at), 1e-9);
}

TEST(PhotoScene, ABirdIsMetWhereItIsAndHidesItsFarSide) {
  const auto bird = bird_body();
  int met = 0;
  for (double x = 10.0; x < 165.0; x += 7.0) {
    for (double y = 10.0; y < 125.0; y += 7.0) {
      const Vec3 at = bird->in_space({x, y});
      if (at.y > -1.0) continue;  // beside the bird
      const Vec3 out = bird->outward({x, y});
      EXPECT_LT(out.y, 0.0);
      const auto hit = bird->meet({at + out * 200.0, out * -1.0});
      if (!hit || length(hit->at - at) > 0.1) continue;  // the wing or the head is before it
      ASSERT_TRUE(hit->face);
      EXPECT_NEAR(hit->face->across, x, 0.05);
      EXPECT_NEAR(hit->face->along, y, 0.05);
      ++met;
    }
  }
  EXPECT_GT(met, 80);
  EXPECT_FALSE(bird->meet({{0.0, -300.0, 160.0}, {0.0, 1.0, 0.0}}));
}

// A dot on the wall: the middle of its darkness in the photo against where the truth has it.
TEST(PhotoScene, ADotComesOutAtThePixelThatTheTruthNames) {
  const FacePoint at{8.0, 42.0};
  FaceLine dot_line;
  dot_line.points = {at, {at.across + 1e-4, at.along}};
  dot_line.width_mm = 3.0;
  dot_line.strength = 1.0;
  Scene scene = jar_scene({dot_line});
  Coat coat;
  coat.mottle = 0.0;
  coat.grain = 0.0;
  scene.texture = std::make_shared<FaceTexture>(jar_wall(), std::vector{dot_line}, coat, 16.0);
  scene.standing = {{3.0, -2.0}, 4.0};
  const PhotoMaker maker(scene);
  HandHeld how;
  how.longer_px = 1200;
  how.distance_mm = 300.0;
  how.k1 = 0.1;
  Shot shot = hand_held(how);
  shot.noise = 0.0;
  shot.jpeg_quality = 0;
  shot.samples = 3;
  ASSERT_TRUE(maker.sees(shot, at));
  const Vec2 due = maker.px_of(shot, at).value();
  const cv::Mat grey = maker.grey_photo(shot);
  const int reach = 14;
  const double light =
      grey.at<std::uint8_t>(static_cast<int>(due.y) - reach, static_cast<int>(due.x));
  Vec2 sum;
  double weight = 0.0;
  for (int y = static_cast<int>(due.y) - reach; y <= static_cast<int>(due.y) + reach; ++y) {
    for (int x = static_cast<int>(due.x) - reach; x <= static_cast<int>(due.x) + reach; ++x) {
      const double dark = std::max(0.0, light - 12.0 - grey.at<std::uint8_t>(y, x));
      sum += Vec2{x + 0.5, y + 0.5} * dark;
      weight += dark;
    }
  }
  ASSERT_GT(weight, 1000.0);
  EXPECT_LT(distance(sum / weight, due), 0.15);
}

TEST(PhotoScene, TheFarSideIsNotSeen) {
  const PhotoMaker maker(jar_scene());
  const Shot shot = hand_held({});
  EXPECT_TRUE(maker.sees(shot, {0.0, 50.0}));
  EXPECT_FALSE(maker.sees(shot, {180.0, 50.0}));
  EXPECT_LT(maker.steepness_deg(shot, {0.0, 50.0}), 50.0);
}

}  // namespace
}  // namespace underdraw::test
