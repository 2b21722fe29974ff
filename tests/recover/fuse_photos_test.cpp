// Rendered photos of a dotted jar and a tile that stand where they are known to, laid out flat: the
// dots come out where they were painted. The renderer shares no code with the unrolling. Bounds are
// a little above what was measured; no outside source.
#include "recover/fuse_photos.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "photo/jar_photos.h"
#include "support/dotted_face.h"

namespace underdraw::test {
namespace {

FacePhoto face_photo(const PhotoMaker& maker, const HandHeld& hold, double blur_px = 0.7) {
  Shot shot = hand_held(hold);
  shot.samples = 1;
  shot.blur_px = blur_px;
  return {"photo", maker.photo(shot), shot.camera, shot.pose, blur_px};
}

HandHeld from(double azimuth_deg, double elevation_deg = 22.0) {
  HandHeld hold;
  hold.azimuth_deg = azimuth_deg;
  hold.elevation_deg = elevation_deg;
  hold.distance_mm = 400.0;
  hold.aim_height_mm = 40.0;
  hold.seed = static_cast<unsigned>(azimuth_deg) + 3;
  return hold;
}

// Six photos of the jar, taken once; the foot is off the middle and turned, and that is known.
struct JarPhotos {
  Surface wall = jar_wall();
  Standing standing{{3.0, -2.0}, 4.0};
  std::vector<FacePhoto> photos;
  std::unique_ptr<PhotoMaker> maker;

  JarPhotos() {
    Scene scene = jar_scene(dot_lines(wall));
    scene.standing = standing;
    maker = std::make_unique<PhotoMaker>(scene);
    for (int i = 0; i < 6; ++i) photos.push_back(face_photo(*maker, from(60.0 * i)));
    // One photo came out darker.
    photos[2].picture.convertTo(photos[2].picture, -1, 0.8);
  }
  StandingFace face() const {
    FaceStanding stands;
    stands.shift_mm = standing.shift_mm;
    stands.turn_deg = standing.turn_deg;
    return standing_face(wall, stands);
  }
};

Shot shot_of(int i) { return hand_held(from(60.0 * i)); }

const JarPhotos& jar() {
  static const JarPhotos kJar;
  return kJar;
}

TEST(FusePhotos, PutsTheDotsOfAJarWhereTheyWerePainted) {
  const FusedFace fused = fuse_photos(jar().face(), jar().photos);
  const DotMisses misses = dot_misses(jar().wall, fused.picture);
  print_misses("jar", misses);
  EXPECT_GT(misses.asked, 180U);
  EXPECT_EQ(misses.dots.size(), misses.asked);
  EXPECT_LT(misses.median_mm, 0.03);
  EXPECT_LT(misses.p95_mm, 0.1);
  EXPECT_LT(std::abs(misses.turn_deg), 0.01);
  EXPECT_GT(fused.seen, 0.95);
}

TEST(FusePhotos, EvensADarkPhotoSoThatNoEdgeShows) {
  const FusedFace fused = fuse_photos(jar().face(), jar().photos);
  ASSERT_EQ(fused.photos.size(), 6U);
  for (const std::size_t i : {0U, 1U, 3U, 4U, 5U}) {
    EXPECT_NEAR(fused.photos[2].gain / fused.photos[i].gain, 0.8, 0.04) << i;
  }
  // Across its border to the next photo, half way between their azimuths, the light is even.
  const cv::Mat& light = fused.picture.light;
  const auto mean = [&](double a) {
    const int x = static_cast<int>(a * fused.picture.px_per_across);
    return cv::mean(light(cv::Rect(x, light.rows / 3, 60, light.rows / 3)))[0];
  };
  for (const double border : {86.0, 146.0}) {
    EXPECT_NEAR(mean(border - 6.0) / mean(border + 6.0), 1.0, 0.03) << border;
  }
}

// A lamp mirrored where one photo sees best: its neighbours give the place.
TEST(FusePhotos, TakesWhatIsUnderGlareFromAnotherPhoto) {
  const FacePoint under{60.0, 54.0};
  std::vector<FacePhoto> photos = jar().photos;
  photos[1].picture = photos[1].picture.clone();
  const Vec2 px = *px_from_mat(photos[1].camera, photos[1].pose, jar().maker->face_in_mat(under));
  cv::circle(photos[1].picture,
             cv::Point(static_cast<int>(px.x), static_cast<int>(px.y)),
             18,
             cv::Scalar(255, 255, 255),
             cv::FILLED);
  const FusedFace fused = fuse_photos(jar().face(), photos);
  EXPECT_GT(fused.photos[1].glare, fused.photos[0].glare + 0.005);
  const Vec2 at = fused.picture.px_from_face(under);
  const cv::Point spot(static_cast<int>(at.x), static_cast<int>(at.y));
  const float coat = fused.picture.light.at<float>(spot + cv::Point(25, 25));
  EXPECT_LT(fused.picture.light.at<float>(spot), 0.7f * coat);  // the dot is there
  // As if the photo with the lamp had never been.
  photos.erase(photos.begin() + 1);
  const Unrolled others = fuse_photos(jar().face(), photos).picture;
  EXPECT_NEAR(fused.picture.light.at<float>(spot), others.light.at<float>(spot), 0.02f);
  EXPECT_GT(fused.picture.trust.at<float>(spot), 0.2f);
  EXPECT_GT(fused.picture.steep.at<float>(spot), 40.0f);
}

TEST(FusePhotos, DistrustsWhatIsSteepAndBlurred) {
  const std::vector<FacePhoto> one{jar().photos[0]};
  std::vector<FacePhoto> soft = one;
  soft[0].blur_px = 3.0;
  const Unrolled sharp = fuse_photos(jar().face(), one).picture;
  const Unrolled blurred = fuse_photos(jar().face(), soft).picture;
  const auto at = [&](const cv::Mat& layer, double a) {
    const Vec2 px = sharp.px_from_face({a, 60.0});
    return layer.at<float>(static_cast<int>(px.y), static_cast<int>(px.x));
  };
  // Turned by 4°, so that the photo looks at a = 356°.
  EXPECT_GT(at(sharp.trust, 356.0), 0.8f);
  EXPECT_LT(at(blurred.trust, 356.0), 0.4f);
  EXPECT_LT(at(sharp.trust, 60.0), 0.5f);
  EXPECT_EQ(at(sharp.trust, 180.0), 0.0f);
  EXPECT_EQ(at(sharp.steep, 180.0), 90.0f);
  EXPECT_NEAR(at(sharp.steep, 60.0), jar().maker->steepness_deg(shot_of(0), {60.0, 60.0}), 1.0);
}

TEST(FusePhotos, LaysATileFlat) {
  const Surface face = surface_of({"tile", FlatFace{100, 100, {}, 0}, {}, 1.0});
  Scene scene;
  scene.mat.tile_mm = Vec2{100.0, 100.0};
  scene.body = tile_body(face, 8.0);
  const Dots dots{12.0, 12.0, 8.0, 1.2};
  scene.texture = std::make_shared<FaceTexture>(face, dot_lines(face, dots), Coat{}, 8.0);
  scene.standing = {{1.5, -1.0}, 2.0};
  const PhotoMaker maker(scene);
  HandHeld hold = from(20.0, 50.0);
  hold.aim_height_mm = 0.0;
  FaceStanding stands;
  stands.shift_mm = scene.standing.shift_mm;
  stands.turn_deg = 2.0;
  stands.lift_mm = 8.0;
  const StandingFace standing = standing_face(face, stands);
  const FusedFace fused = fuse_photos(standing, {face_photo(maker, hold)});
  const DotMisses misses = dot_misses(face, fused.picture, 65.0, dots);
  print_misses("tile", misses);
  EXPECT_EQ(misses.asked, 64U);
  EXPECT_EQ(misses.dots.size(), misses.asked);
  EXPECT_LT(misses.median_mm, 0.05);
  EXPECT_LT(misses.p95_mm, 0.1);
}

TEST(FusePhotos, RefusesWhatItCannotUse) {
  EXPECT_THROW(fuse_photos(jar().face(), {}), InputError);
  FacePhoto away = jar().photos[0];
  away.pose = CameraPose::looking({0, -400, 100}, {0, -800, 100});
  EXPECT_THROW(fuse_photos(jar().face(), {away}), InputError);
  FusePhotosOptions options;
  options.steepest_deg = 89.0;
  EXPECT_THROW(fuse_photos(jar().face(), jar().photos, options), OptionError);
  const Surface patch = surface_of({"breast", PatchFace{100, 80, 90, 75}, {}, 1.0});
  EXPECT_THROW(standing_face(patch, {}), InputError);
}

}  // namespace
}  // namespace underdraw::test
