// Rendered photos of pieces that do not stand where they should and are not as wide as the tape
// said: what the photos tell, against the renderer's truth. Bounds are a little above what was
// measured; no outside source.
#include <numbers>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "photo/jar_photos.h"
#include "recover/unroll.h"
#include "support/dotted_face.h"

namespace underdraw::test {
namespace {

FacePhoto photo_round(const PhotoMaker& maker,
                      int i,
                      int count,
                      double elevation_deg = 22.0,
                      double aim_height_mm = 40.0) {
  HandHeld hold;
  hold.azimuth_deg = i * 360.0 / count + 10.0;
  hold.elevation_deg = elevation_deg + (i % 2 == 0 ? 0.0 : 8.0);
  hold.distance_mm = 400.0;
  hold.aim_height_mm = aim_height_mm;
  hold.longer_px = 1600;
  hold.seed = static_cast<unsigned>(i) + 3;
  Shot shot = hand_held(hold);
  shot.samples = 1;
  return {"photo-" + std::to_string(i), maker.photo(shot), shot.camera, shot.pose, 0.7};
}

std::vector<FacePhoto> photos_round(const PhotoMaker& maker,
                                    int count,
                                    double elevation_deg = 22.0,
                                    double aim_height_mm = 40.0) {
  std::vector<FacePhoto> photos;
  for (int i = 0; i < count; ++i) {
    photos.push_back(photo_round(maker, i, count, elevation_deg, aim_height_mm));
  }
  return photos;
}

void print(const char* what, const StandingFit& fit, const DotMisses& misses) {
  std::printf(
      "[ reached  ] %s: foot (%.2f, %.2f) +- %.2f mm, radius +- %.2f, %zu edges %.2f mm, "
      "%zu shifts %.3f mm\n",
      what,
      fit.standing.shift_mm.x,
      fit.standing.shift_mm.y,
      fit.shift_sd_mm,
      fit.radius_sd_mm,
      fit.edges,
      fit.edge_rms_mm,
      fit.shifts,
      fit.shift_rms_mm);
  print_misses(what, misses);
}

// What a tape said of the jar: readings up to 1 mm off in radius.
Surface jar_as_measured() {
  return surface_of({"wall", TurnedFace{{{0, 284}, {40, 366}, {95, 306}}}, {}, 1.0});
}

struct Taken {
  StandingFit fit;
  DotMisses misses;
  std::vector<std::string> warnings;
};

Taken taken(const char* what,
            const Surface& truth,
            const Surface& measured,
            const std::vector<FacePhoto>& photos,
            const Dots& dots = {},
            std::size_t painted_over = 0) {
  const UnrolledFace face = unroll_face(measured, photos);
  Taken out{face.fit, dot_misses(truth, face.picture, 65.0, dots), face.warnings};
  print(what, out.fit, out.misses);
  EXPECT_GE(out.misses.dots.size() + painted_over, out.misses.asked);
  return out;
}

double off_middle(const Taken& take, const PhotoMaker& maker) {
  return distance(take.fit.standing.shift_mm, maker.scene().standing.shift_mm);
}

TEST(FitStanding, FindsFootAndWidthOfAJarMeasuredBadly) {
  const Surface wall = jar_wall();
  Scene scene = jar_scene(dot_lines(wall));
  scene.standing = {{4.0, -3.0}, 0.0};
  const PhotoMaker maker(scene);
  const Taken take = taken("jar", wall, jar_as_measured(), photos_round(maker, 8));
  EXPECT_LT(off_middle(take, maker), 0.05);
  EXPECT_LT(take.misses.median_mm, 0.06);
  EXPECT_LT(take.misses.p95_mm, 0.12);
  EXPECT_LT(std::abs(take.misses.turn_deg), 0.05);
  EXPECT_LT(take.fit.shift_sd_mm, 0.1);
  EXPECT_TRUE(take.warnings.empty());
  // 4, 6 and 6 mm of tape too much, too little, too much.
  EXPECT_NEAR(take.fit.standing.radius_mm.front(), -4.0 / (2.0 * std::numbers::pi), 0.15);
  EXPECT_NEAR(wider_mm(take.fit.standing, 0.4), 6.0 / (2.0 * std::numbers::pi), 0.15);
  EXPECT_NEAR(take.fit.standing.radius_mm.back(), -6.0 / (2.0 * std::numbers::pi), 0.15);
}

TEST(FitStanding, KnowsLessFromFewerPhotosAndSaysSo) {
  const Surface wall = jar_wall();
  Scene scene = jar_scene(dot_lines(wall));
  scene.standing = {{-4.0, 3.0}, 0.0};
  scene.seed = 5;
  const PhotoMaker maker(scene);
  std::vector<FacePhoto> photos = photos_round(maker, 4);
  const Taken four = taken("four photos", wall, jar_as_measured(), photos);
  EXPECT_LT(off_middle(four, maker), 0.05);
  EXPECT_LT(four.misses.median_mm, 0.06);
  EXPECT_LT(four.misses.p95_mm, 0.15);
  EXPECT_TRUE(four.warnings.empty());
  photos.resize(1);
  const Taken one = taken("one photo", wall, jar_as_measured(), photos);
  EXPECT_LT(off_middle(one, maker), 0.15);
  EXPECT_LT(one.misses.median_mm, 0.15);
  EXPECT_LT(one.misses.p95_mm, 0.3);
  EXPECT_GT(one.fit.shift_sd_mm, 5.0 * four.fit.shift_sd_mm);
  EXPECT_EQ(one.warnings.size(), 1U);  // the outline alone
}

// A white coat without brush marks: photos have nothing to compare, the outline does it.
TEST(FitStanding, ManagesWithThePiecesOutlineAlone) {
  const Surface wall = jar_wall();
  const Dots dots{60.0, 40.0, 20.0, 1.2};
  Scene scene = jar_scene();
  Coat coat;
  coat.mottle = 0.0;
  coat.grain = 0.02;
  coat.colour = {0.8f, 0.78f, 0.75f};
  scene.texture = std::make_shared<FaceTexture>(jar_wall(), dot_lines(wall, dots), coat, 8.0);
  scene.standing = {{3.0, 4.0}, 0.0};
  const PhotoMaker maker(scene);
  const Taken take = taken("plain jar", wall, jar_as_measured(), photos_round(maker, 5), dots);
  EXPECT_LT(take.fit.shifts, 30U);
  EXPECT_LT(off_middle(take, maker), 0.06);
  EXPECT_LT(take.misses.p95_mm, 0.12);
}

TEST(FitStanding, AGlossyCylinder) {
  const Surface wall = surface_of({"wall", CylinderFace{250, 90}, {}, 1.0});
  const Surface measured = surface_of({"wall", CylinderFace{252, 91}, {}, 1.0});
  Scene scene;
  scene.mat.foot_mm = 80;
  scene.body = turned_body(wall);
  Coat coat;
  coat.gloss = 0.8;
  scene.texture = std::make_shared<FaceTexture>(wall, dot_lines(wall), coat, 8.0);
  scene.standing = {{-5.0, 1.0}, 0.0};
  const PhotoMaker maker(scene);
  const Taken take = taken("cylinder", wall, measured, photos_round(maker, 6));
  EXPECT_LT(off_middle(take, maker), 0.05);
  EXPECT_LT(take.misses.median_mm, 0.05);
  EXPECT_LT(take.misses.p95_mm, 0.1);
}

// From above, the wide rim hides the wall below it at the sides: those limbs show nowhere.
TEST(FitStanding, AFlaredWallSeenFromAbove) {
  const Surface wall = surface_of({"wall", ConeFace{180, 330, 80}, {}, 1.0});
  const Surface measured = surface_of({"wall", ConeFace{184, 326, 81}, {}, 1.0});
  Scene scene;
  scene.mat.foot_mm = 57;
  scene.body = turned_body(wall);
  scene.texture = std::make_shared<FaceTexture>(wall, dot_lines(wall), Coat{}, 8.0);
  scene.standing = {{4.0, -3.0}, 0.0};
  const PhotoMaker maker(scene);
  const Taken take = taken("flared", wall, measured, photos_round(maker, 6));
  EXPECT_LT(off_middle(take, maker), 0.05);
  EXPECT_LT(take.misses.median_mm, 0.06);
  EXPECT_LT(take.misses.p95_mm, 0.12);
}

TEST(FitStanding, ABall) {
  const Surface ball = surface_of({"ball", BallFace{300}, {}, 1.0});
  const Surface taped = surface_of({"ball", BallFace{301.5}, {}, 1.0});
  Scene scene;
  scene.mat.foot_mm = 40;
  scene.body = turned_body(ball);
  scene.texture = std::make_shared<FaceTexture>(ball, dot_lines(ball), Coat{}, 8.0);
  scene.standing = {{3.0, -3.0}, 0.0};
  const PhotoMaker of_ball(scene);
  const Taken round = taken("ball", ball, taped, photos_round(of_ball, 5));
  EXPECT_LT(off_middle(round, of_ball), 0.05);
  EXPECT_NEAR(round.fit.standing.grown, 300.0 / 301.5, 0.001);
  EXPECT_LT(round.misses.median_mm, 0.1);
  EXPECT_LT(round.misses.p95_mm, 0.15);
}

TEST(FitStanding, ARing) {
  const Surface ring = surface_of({"rim", RingFace{60, 100, 22}, {}, 1.0});
  Scene scene;
  scene.mat.foot_mm = 100;
  scene.body = turned_body(ring);
  scene.texture = std::make_shared<FaceTexture>(ring, dot_lines(ring), Coat{}, 8.0);
  scene.standing = {{3.0, -3.0}, 0.0};
  const PhotoMaker of_ring(scene);
  const Taken flat = taken("ring", ring, ring, photos_round(of_ring, 3, 45.0, 0.0));
  EXPECT_LT(off_middle(flat, of_ring), 0.1);
  EXPECT_GT(flat.misses.asked, 20U);
  EXPECT_LT(flat.misses.p95_mm, 0.15);
}

// Photographed again after a firing: a twentieth smaller, which the clay's shrinkage foretold.
TEST(FitStanding, KnowsAPieceThatHasShrunkSince) {
  const Face face{"wall", TurnedFace{{{0, 280}, {40, 372}, {95, 300}}}, {}, 1.0};
  const double size = 0.94;
  const Surface fired = surface_of(face, size);
  Scene scene = jar_scene();
  scene.mat.foot_mm = kJarFootMm * size;
  scene.body = turned_body(fired);
  const Dots dots;
  std::vector<FaceLine> lines = dot_lines(jar_wall(), dots);
  for (FaceLine& line : lines) {
    for (FacePoint& p : line.points) p.along *= size;
  }
  scene.texture = std::make_shared<FaceTexture>(fired, lines, Coat{}, 8.0);
  scene.standing = {{3.0, -3.0}, 0.0};
  const PhotoMaker maker(scene);
  const std::vector<FacePhoto> photos = photos_round(maker, 5);
  UnrollOptions options;
  options.fit.sizes = {1.0, 1.05, 0.94, 0.9};
  const UnrolledFace shown = unroll_face(jar_as_measured(), photos, options);
  EXPECT_EQ(shown.fit.standing.size, 0.94);
  // In the wall's own a and s, as before the firing.
  const DotMisses misses = dot_misses(jar_wall(), shown.picture, 65.0, dots);
  print("shrunk", shown.fit, misses);
  EXPECT_LT(misses.median_mm, 0.06);
  EXPECT_LT(misses.p95_mm, 0.13);
  options.fit.sizes = {1.0};
  EXPECT_THROW(unroll_face(jar_as_measured(), photos, options), InputError);
}

// All round the piece, from within its outline on, is the colour of its coat.
TEST(FitStanding, ManagesWithoutAnOutline) {
  const Surface wall = jar_wall();
  Scene scene = jar_scene(dot_lines(wall));
  scene.standing = {{2.0, -1.5}, 0.0};
  const PhotoMaker maker(scene);
  std::vector<FacePhoto> photos = photos_round(maker, 6);
  FaceStanding truth;
  truth.shift_mm = scene.standing.shift_mm;
  for (FacePhoto& photo : photos) {
    const FaceView view = see_face(standing_face(wall, truth), photo.camera, photo.pose);
    cv::Mat there = view.depth > 0.0f;
    cv::erode(there, there, cv::Mat::ones(41, 41, CV_8U));
    const cv::Mat coat(photo.picture.size(), CV_8UC3, cv::mean(photo.picture, there));
    cv::Mat share, rest;
    there.convertTo(share, CV_32F, 1.0 / 255.0);
    cv::GaussianBlur(share, share, {0, 0}, 8.0);  // no edge here either
    rest = 1.0 - share;
    cv::blendLinear(photo.picture, coat, share, rest, photo.picture);
  }
  const Surface measured =
      surface_of({"wall", TurnedFace{{{0, 281}, {40, 370}, {95, 301}}}, {}, 1.0});
  const Taken take = taken("no outline", wall, measured, photos, {}, 30);
  EXPECT_LT(off_middle(take, maker), 0.05);
  EXPECT_LT(take.misses.median_mm, 0.12);
  EXPECT_LT(take.misses.p95_mm, 0.15);
  ASSERT_EQ(take.warnings.size(), 1U);
  EXPECT_NE(take.warnings[0].find("outline is hard to see"), std::string::npos);
}

// Its turn and thickness are found too. In the first photo a narrow shadow, as dark as the tile,
// lies beside one side of it.
TEST(FitStanding, ATileThatLiesAskew) {
  const Surface face = surface_of({"tile", FlatFace{100, 100, {}, 0}, {}, 1.0});
  const Dots dots{12.0, 12.0, 8.0, 1.2};
  Scene scene;
  scene.mat.tile_mm = Vec2{100.0, 100.0};
  scene.body = tile_body(face, 6.0);
  scene.texture = std::make_shared<FaceTexture>(face, dot_lines(face, dots), Coat{}, 8.0);
  scene.standing = {{2.5, -3.0}, 3.0};
  const PhotoMaker maker(scene);
  std::vector<FacePhoto> photos = photos_round(maker, 3, 50.0, 0.0);
  const Taken three = taken("tile, three photos", face, face, photos, dots);
  EXPECT_NEAR(three.fit.standing.turn_deg, 3.0, 0.05);
  EXPECT_NEAR(three.fit.standing.lift_mm, 6.0, 0.15);
  EXPECT_LT(three.misses.median_mm, 0.12);
  EXPECT_LT(three.misses.p95_mm, 0.15);
  photos.resize(1);
  const Taken one = taken("tile, one photo", face, face, photos, dots);
  EXPECT_NEAR(one.fit.standing.turn_deg, 3.0, 0.1);
  EXPECT_LT(one.misses.median_mm, 0.3);
  EXPECT_LT(one.misses.p95_mm, 0.4);
}

// The cameras too are known only from the mat's marks, and the printer printed 0.3 % too small.
TEST(FitStanding, FromThePhotosPixelsAlone) {
  const Surface wall = jar_wall();
  Scene scene = jar_scene(dot_lines(wall));
  scene.standing = {{-3.0, -4.0}, 0.0};
  scene.mat_scale = {0.997, 0.997};
  const PhotoMaker maker(scene);
  std::vector<FacePhoto> photos = photos_round(maker, 6);
  std::vector<PosePhoto> marks;
  for (const FacePhoto& photo : photos) {
    cv::Mat grey;
    cv::cvtColor(photo.picture, grey, cv::COLOR_BGR2GRAY);
    marks.push_back({find_marks(grey, {.photo = photo.name}), photo.camera.focal_px * 1.01});
  }
  CameraPoseOptions bars;
  bars.bars = MeasuredBars{99.7, 99.7};
  const CameraPoses poses = camera_poses(marks, bars);
  for (std::size_t i = 0; i < photos.size(); ++i) {
    photos[i] = face_photo(photos[i].picture, poses.photos[i], marks[i].marks);
  }
  const Taken take = taken("pixels alone", wall, jar_as_measured(), photos);
  EXPECT_LT(off_middle(take, maker), 0.05);
  EXPECT_LT(take.misses.median_mm, 0.07);
  EXPECT_LT(take.misses.p95_mm, 0.14);
}

// Turned on its mat from photo to photo, instead of being walked round.
TEST(FitStanding, SaysThatThePieceWasTurnedBetweenPhotos) {
  const Surface wall = jar_wall();
  const Dots dots{15.0, 12.0, 6.0, 2.0};
  std::vector<FacePhoto> photos;
  for (int i = 0; i < 4; ++i) {
    Scene scene = jar_scene(dot_lines(wall, dots));
    scene.standing.turn_deg = 23.0 * i;
    photos.push_back(photo_round(PhotoMaker(scene), i, 6));
  }
  const StandingFit fit = fit_standing(wall, photos);
  ASSERT_FALSE(fit.warnings.empty());
  EXPECT_NE(fit.warnings[0].find("was the piece turned"), std::string::npos) << fit.warnings[0];
}

std::string refusal(const Surface& surface, const std::vector<FacePhoto>& photos) {
  try {
    fit_standing(surface, photos);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(FitStanding, RefusesAnotherPieceThanTheOneMeasured) {
  const PhotoMaker maker(jar_scene(dot_lines(jar_wall())));
  const std::vector<FacePhoto> photos = photos_round(maker, 3);
  const auto turned = [](double foot, double belly, double rim) {
    return surface_of({"wall", TurnedFace{{{0, foot}, {40, belly}, {95, rim}}}, {}, 1.0});
  };
  EXPECT_EQ(refusal(turned(280, 372, 300), photos), "");
  EXPECT_NE(refusal(turned(258, 342, 276), photos).find("9 % wider than measured"),
            std::string::npos);
  // As wide at the foot, but with hardly a belly.
  const std::string straight = refusal(turned(280, 300, 340), photos);
  EXPECT_NE(straight.find("% wider than measured at s = 3"), std::string::npos) << straight;
  const std::string beaker = refusal(surface_of({"wall", CylinderFace{150, 60}, {}, 1.0}), photos);
  EXPECT_NE(beaker.find("of the outline that the piece would have"), std::string::npos) << beaker;
  EXPECT_THROW(fit_standing(jar_wall(), {}), InputError);
  FitStandingOptions options;
  options.thick_mm = -1.0;
  EXPECT_THROW(fit_standing(jar_wall(), photos, options), OptionError);
}

TEST(FitStanding, RefusesAnEmptyMat) {
  Scene scene = jar_scene();
  scene.body = nullptr;
  const std::string bare = refusal(jar_wall(), photos_round(PhotoMaker(scene), 3));
  EXPECT_NE(bare.find("of the outline that the piece would have"), std::string::npos) << bare;
}

}  // namespace
}  // namespace underdraw::test
