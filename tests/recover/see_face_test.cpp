// What shows is held against rays through each pixel (tests/support/photo_body.h), which share no
// code with the net of triangles.
#include "recover/see_face.h"

#include <gtest/gtest.h>

#include "core/error.h"
#include "support/photo_body.h"

namespace underdraw {
namespace {

Surface waisted() {
  return surface_of({"wall", TurnedFace{{{0, 300}, {40, 200}, {95, 330}}}, {}, 1.0});
}

Camera small_camera() {
  Camera camera;
  camera.width_px = 320;
  camera.height_px = 240;
  camera.focal_px = 300.0;
  camera.centre_px = {161.0, 119.0};
  camera.k1 = 0.05;
  return camera;
}

CameraPose from(double azimuth_deg, double elevation_deg) {
  const double a = radians(azimuth_deg);
  const double e = radians(elevation_deg);
  const Vec3 way{std::cos(e) * std::sin(a), -std::cos(e) * std::cos(a), std::sin(e)};
  return CameraPose::looking(Vec3{0, 0, 45} + way * 260.0, {0, 0, 45});
}

TEST(SeeFace, FindsThePointOfEveryPixelThatARayMeets) {
  const Surface wall = waisted();
  const auto body = test::turned_body(wall);
  const StandingFace face{&wall, [&](FacePoint p) { return wall.in_space(p); }};
  const Camera camera = small_camera();
  for (const CameraPose& pose : {from(0, 5), from(200, 50)}) {
    const FaceView view = see_face(face, camera, pose);
    int both = 0;
    int one = 0;
    for (int y = 2; y < camera.height_px; y += 5) {
      for (int x = 2; x < camera.width_px; x += 5) {
        const auto ray = sight_ray(camera, pose, {x + 0.5, y + 0.5});
        ASSERT_TRUE(ray);
        const auto hit = body->meet(*ray);
        const bool seen = hit && hit->face;
        if (seen != (view.depth.at<float>(y, x) > 0.0f)) {
          ++one;
          continue;
        }
        if (!seen) continue;
        ++both;
        const Vec2 off =
            wall.way(*hit->face, {view.across.at<float>(y, x), view.along.at<float>(y, x)});
        // Steep places move far for a hair's breadth; elsewhere it is 0.05 mm.
        const double facing = -dot(hit->normal, ray->towards);
        EXPECT_LT(length(off) * facing, 0.15) << x << ", " << y;
      }
    }
    EXPECT_GT(both, 200);
    // Along the outline a pixel's middle may miss one of the two.
    EXPECT_LE(one, both / 50);
  }
}

// From above the wide rim hides the foot at the sides: there the inside of the rim is what shows.
TEST(SeeFace, HidesWhatLiesBehindTheInsideOfTheRim) {
  const Surface wall = surface_of({"wall", TurnedFace{{{0, 300}, {30, 160}, {60, 400}}}, {}, 1.0});
  const auto body = test::turned_body(wall);
  const StandingFace face{&wall, [&](FacePoint p) { return wall.in_space(p); }};
  const Camera camera = small_camera();
  const CameraPose pose = from(0, 45);
  const FaceView view = see_face(face, camera, pose);
  int shown = 0;
  int wrong = 0;
  for (int y = 0; y < camera.height_px; y += 2) {
    for (int x = 0; x < camera.width_px; x += 2) {
      if (view.depth.at<float>(y, x) <= 0.0f) continue;
      ++shown;
      const auto hit = body->meet(*sight_ray(camera, pose, {x + 0.5, y + 0.5}));
      if (!hit || !hit->face) ++wrong;
    }
  }
  EXPECT_GT(shown, 400);
  EXPECT_LE(wrong, shown / 25);  // along outlines
}

TEST(SeeFace, ShowsTheNearSideOfALineRoundTheWallAndNotTheFar) {
  const Surface wall = waisted();
  const StandingFace face{&wall, [&](FacePoint p) { return wall.in_space(p); }};
  RecoveredStroke ring{7, 1.0, {}, {}};
  for (double a = 0.0; a <= 360.0; a += 1.0) ring.points.push_back({a, 70.0});
  const Camera camera = small_camera();
  const CameraPose pose = from(90, 10);
  const FaceView view = see_face(face, camera, pose);
  const std::vector<PhotoLine> lines = lines_in_view(face, view, camera, pose, {ring});
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].placement, 7);
  EXPECT_GT(lines[0].px.size(), 100U);
  EXPECT_LT(lines[0].px.size(), 180U);
  // Its middle is what faces the camera.
  const Vec2 middle = lines[0].px[lines[0].px.size() / 2];
  const auto straight = px_from_mat(camera, pose, wall.in_space({90.0, 70.0}));
  EXPECT_LT(distance(middle, *straight), 4.0);
}

TEST(SeeFace, CutsLinesWhereCoveredBegins) {
  const Surface wall = waisted();
  const StandingFace face{&wall, [&](FacePoint p) { return wall.in_space(p); }};
  RecoveredStroke line{1, 1.0, {}, {}};
  std::vector<bool> covered;
  for (double a = 70.0; a <= 110.0; a += 1.0) {
    line.points.push_back({a, 60.0});
    covered.push_back(a > 90.0);
  }
  const Camera camera = small_camera();
  const CameraPose pose = from(90, 10);
  const FaceView view = see_face(face, camera, pose, {.longest_px = 160});
  const std::vector<PhotoLine> lines = lines_in_view(face, view, camera, pose, {line}, {covered});
  ASSERT_EQ(lines.size(), 2U);
  EXPECT_FALSE(lines[0].covered);
  EXPECT_TRUE(lines[1].covered);
  EXPECT_EQ(lines[0].px.back(), lines[1].px.front());
  // Half the picture, the same photo px.
  EXPECT_LT(distance(lines[1].px.back(), *px_from_mat(camera, pose, wall.in_space({110.0, 60.0}))),
            1e-6);
}

TEST(SeeFace, PaintsAnotherStageIntoTheView) {
  const Surface wall = waisted();
  const StandingFace face{&wall, [&](FacePoint p) { return wall.in_space(p); }};
  Unrolled other;
  other.round = true;
  other.px_per_across = 2.0;
  other.px_per_along = 2.0;
  const int rows = static_cast<int>(2.0 * wall.along_mm());
  other.colour = cv::Mat(rows, 720, CV_8UC3, cv::Scalar(10, 20, 200));
  other.colour.colRange(180, 720) = cv::Scalar(200, 20, 10);  // from a = 90 on
  other.trust = cv::Mat::ones(rows, 720, CV_32FC1);
  const Camera camera = small_camera();
  const CameraPose pose = from(90, 10);
  const FaceView view = see_face(face, camera, pose);
  const cv::Mat photo(240, 320, CV_8UC3, cv::Scalar(1, 2, 3));
  const cv::Mat seen = seen_as(view, other, photo);
  const auto at = [&](double a) {
    const Vec2 px = *px_from_mat(camera, pose, wall.in_space({a, 50.0}));
    return seen.at<cv::Vec3b>(static_cast<int>(px.y), static_cast<int>(px.x));
  };
  EXPECT_EQ(at(70.0), cv::Vec3b(10, 20, 200));
  EXPECT_EQ(at(110.0), cv::Vec3b(200, 20, 10));
  EXPECT_EQ(seen.at<cv::Vec3b>(2, 2), cv::Vec3b(1, 2, 3));
}

}  // namespace
}  // namespace underdraw
