// Tiles rendered on their mat under light that a kitchen table may have. Bounds are a little above
// what was measured; the truth is the renderer's own.
#include "coats/tile_colour.h"

#include <cmath>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "support/tile_scene.h"

namespace underdraw::test {
namespace {

MatPhoto photo_of(const TileScene& how) {
  const Shot shot = tile_shot(how);
  MatPhoto photo;
  photo.bgr = PhotoMaker(tile_scene(how)).photo(shot);
  cv::Mat grey;
  cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
  photo.marks = find_marks(grey, {.photo = "tile.jpg"});
  photo.posed = camera_poses({{photo.marks, shot.camera.focal_px * 1.01}}).photos.front();
  return photo;
}

TEST(TileColour, LampsTintsAndShadeLeaveTheColour) {
  const LightOnMat lamp{{1.0f, 0.72f, 0.42f}, {}};
  const LightOnMat window{{0.9f, 1.0f, 1.15f}, {0.0030, 0.0015}};
  const std::vector<TileScene> scenes = {
      {.name = "teal, dim", .exposure = 0.15},
      {.name = "cream, lamp", .colour = {0.7f, 0.62f, 0.45f}, .light = lamp, .exposure = 0.9},
      {.name = "iron red, window",
       .colour = {0.28f, 0.06f, 0.03f},
       .light = window,
       .exposure = 0.75,
       .gloss = 0.4},
      {.name = "cobalt, dim lamp",
       .colour = {0.03f, 0.05f, 0.24f},
       .light = lamp,
       .exposure = 0.3,
       .elevation_deg = 50.0}};
  for (const TileScene& how : scenes) {
    const TileColour read = tile_colour(photo_of(how));
    const Rgb painted = painted_on_tile(how, 8.0);
    const LabColour due = lab_from_linear({painted.r, painted.g, painted.b});
    const double off = ciede2000(read.colour, due);
    std::printf("[ reached  ] %-18s %.2f off, spread %.2f, grey patch L* %.1f\n",
                how.name,
                off,
                read.spread,
                read.grey_l);
    EXPECT_LT(off, 1.6) << how.name;
    EXPECT_LT(std::abs(read.colour.l - due.l), 0.6) << how.name;
    EXPECT_LT(read.spread, 1.5) << how.name;
    EXPECT_TRUE(read.warnings.empty()) << how.name << ": " << read.warnings.front();
    // Half of the paper under ink, as the renderer prints it: 0.52 of 0.86.
    EXPECT_NEAR(read.grey_l, lab_from_linear({0.449, 0.449, 0.449}).l, 1.0) << how.name;
  }
}

// One photo, spoilt in many ways.
class SpoiltTilePhoto : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    const TileScene how{.name = "teal"};
    good_ = photo_of(how);
  }
  static void TearDownTestSuite() { good_ = {}; }

  // Each tone of the file becomes another.
  template <typename Tone>
  static MatPhoto with_tones(Tone tone) {
    cv::Mat table(1, 256, CV_8U);
    for (int i = 0; i < 256; ++i) {
      table.at<std::uint8_t>(i) = cv::saturate_cast<std::uint8_t>(255.0 * tone(i / 255.0));
    }
    MatPhoto spoilt = good_;
    spoilt.bgr = cv::Mat();  // not the pixels of the good one
    cv::LUT(good_.bgr, table, spoilt.bgr);
    return spoilt;
  }

  static MatPhoto with_painted(Vec2 from, Vec2 to, double z, const cv::Scalar& colour) {
    MatPhoto spoilt = good_;
    spoilt.bgr = good_.bgr.clone();
    std::vector<cv::Point> corners;
    for (const Vec2 at : {from, Vec2{to.x, from.y}, to, Vec2{from.x, to.y}}) {
      const Vec2 px = px_from_mat(good_.posed.camera, good_.posed.pose, {at.x, at.y, z}).value();
      corners.emplace_back(static_cast<int>(px.x), static_cast<int>(px.y));
    }
    cv::fillConvexPoly(spoilt.bgr, corners, colour);
    return spoilt;
  }

  static std::string refusal_of(const MatPhoto& photo, const TileColourOptions& options = {}) {
    try {
      tile_colour(photo, options);
    } catch (const Error& error) {
      return error.what();
    }
    return "read";
  }

  static Box patch() { return good_.marks.mat->grey_patch().grown(2.0); }

  static inline MatPhoto good_;
};

TEST_F(SpoiltTilePhoto, BurntAndDarkOnesAreRefusedWithARemedy) {
  EXPECT_EQ(refusal_of(with_tones([](double t) { return 1.15 * t; })),
            "tile.jpg: the mat's paper is burnt out, so what is white is not known; take it again "
            "in shade, or darker");
  EXPECT_EQ(refusal_of(with_tones([](double t) { return 0.2 * t; })),
            "tile.jpg: is too dark: tones of the mat's paper are too few; take it again in more "
            "light");
  EXPECT_EQ(refusal_of(with_painted(patch().min, patch().max, 0.0, {255, 255, 255})),
            "tile.jpg: the grey patch is burnt out; take it again in shade");
  EXPECT_EQ(refusal_of(with_painted(patch().min, patch().max, 0.0, {5, 5, 5})),
            "tile.jpg: the grey patch is too dark; take it again in more light");
  EXPECT_NE(refusal_of(with_painted(patch().min, patch().max, 0.0, {225, 228, 228}))
                .find("where the mat's grey patch should be, L* is 9"),
            std::string::npos);
  EXPECT_EQ(refusal_of(with_painted({-9, -9}, {9, 2}, 6.0, {255, 255, 255})).substr(0, 26),
            "tile.jpg: the tile shines:");
}

TEST_F(SpoiltTilePhoto, AGlintIsLeftOutAndOtherSpotsAreReadWhereTheyAre) {
  const LabColour clean = tile_colour(good_).colour;
  const TileColour glint = tile_colour(with_painted({-3, -3}, {3, 3}, 6.0, {255, 255, 255}));
  EXPECT_LT(ciede2000(glint.colour, clean), 0.5);
  EXPECT_GT(glint.shine, 0.1);

  const MatPhoto painted = with_painted({12, 12}, {26, 26}, 6.0, {30, 60, 160});
  const LabColour paint =
      tile_colour(painted, {.spot_mm = {19, 19}, .spot_diameter_mm = 10}).colour;
  EXPECT_GT(paint.a, 30.0);
  EXPECT_LT(ciede2000(tile_colour(painted).colour, tile_colour(good_).colour), 0.01);
  EXPECT_NE(
      refusal_of(good_, {.spot_mm = {90, 0}}).find("spot, right of the mat's middle is 90 mm"),
      std::string::npos);
}

TEST_F(SpoiltTilePhoto, WhatMakesAColourDoubtfulIsSaid) {
  const auto only_warning = [](const TileColour& read) {
    return read.warnings.size() == 1 ? read.warnings.front() : std::string("none or several");
  };
  EXPECT_NE(only_warning(tile_colour(with_painted({-9, -9}, {0, 9}, 6.0, {30, 60, 160})))
                .find("more than one colour"),
            std::string::npos);
  TileColourOptions beside;
  beside.spot_mm = {48.0, -60.0};
  beside.spot_diameter_mm = 10.0;
  EXPECT_NE(only_warning(tile_colour(good_, beside)).find("as white as the mat's paper"),
            std::string::npos);

  const Vec2 half = good_.marks.mat->opening_mm / 2.0;
  MatPhoto shaded = good_;
  shaded.bgr = good_.bgr.clone();
  for (int y = 0; y < shaded.bgr.rows; ++y) {
    for (int x = 0; x < shaded.bgr.cols; ++x) {
      const auto ray = sight_ray(good_.posed.camera, good_.posed.pose, {x + 0.5, y + 0.5});
      const Vec3 at = ray->from - ray->towards * (ray->from.z / ray->towards.z);
      if (at.x < 0.4 * half.x) shaded.bgr.at<cv::Vec3b>(y, x) *= 0.75;
    }
  }
  EXPECT_NE(only_warning(tile_colour(shaded)).find("a shadow or a lamp"), std::string::npos);
}

// What a camera does to its tones cannot be told from one photo, but that two photos' tones differ.
TEST_F(SpoiltTilePhoto, ACamerasOwnTonesShowInTheGreyPatch) {
  const double plain = tile_colour(good_).grey_l;
  const double bent = tile_colour(with_tones([](double t) { return std::pow(t, 1.25); })).grey_l;
  EXPECT_LT(bent, plain - 4.0);
}

}  // namespace
}  // namespace underdraw::test
