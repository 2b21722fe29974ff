// Photos of one side of a jar: which drawings they show, and whether another photo from where the
// advice says shows the rest. Steepness is held against the renderer's own. No outside source.
#include "recover/photo_needs.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "photo/jar_photos.h"

namespace underdraw::test {
namespace {

HandHeld hold_from(double azimuth_deg) {
  HandHeld hold;
  hold.azimuth_deg = azimuth_deg;
  hold.elevation_deg = 20.0;
  hold.distance_mm = 380.0;
  hold.aim_height_mm = 45.0;
  hold.seed = static_cast<unsigned>(azimuth_deg);
  return hold;
}

FacePhoto photo_from(const PhotoMaker& maker, double azimuth_deg) {
  Shot shot = hand_held(hold_from(azimuth_deg));
  shot.samples = 1;
  return {"photo", maker.photo(shot), shot.camera, shot.pose, shot.blur_px};
}

// A cross 12 mm wide.
PlacementLines cross_at(int number, double a, double s) {
  PlacementLines out{number, {{}, {}}};
  for (double t = -6.0; t <= 6.0; t += 1.0) {
    out.lines[0].push_back({a + t, s});  // a degree is about a mm here
    out.lines[1].push_back({a, s + t});
  }
  return out;
}

// 1 before the first photo, 2 between both, 3 at the side, 4 behind.
const std::vector<PlacementLines>& drawings() {
  static const std::vector<PlacementLines> kDrawings{cross_at(1, 10.0, 55.0),
                                                     cross_at(2, 35.0, 55.0),
                                                     cross_at(3, 130.0, 55.0),
                                                     cross_at(4, 220.0, 55.0)};
  return kDrawings;
}

struct Side {
  Surface wall = jar_wall();
  std::vector<FaceLine> lines;
  std::unique_ptr<PhotoMaker> maker;
  std::vector<FacePhoto> photos;

  Side() {
    for (const PlacementLines& drawing : drawings()) {
      for (const auto& points : drawing.lines) lines.push_back({points, 0.6, 0.75});
    }
    Scene scene = jar_scene(lines);
    maker = std::make_unique<PhotoMaker>(scene);
    photos = {photo_from(*maker, 5.0), photo_from(*maker, 60.0)};
  }
  std::vector<PhotoNeed> needs(const std::vector<FacePhoto>& taken) const {
    return photo_needs(
        wall,
        unroll_face(wall, taken, {.fit = {}, .fuse = {}, .standing = FaceStanding{}}),
        drawings());
  }
};

const Side& side() {
  static const Side kSide;
  return kSide;
}

TEST(PhotoNeeds, SaysWhichDrawingsAreNotSeenAndFromWhereToSeeThem) {
  const std::vector<PhotoNeed> needs = side().needs(side().photos);
  ASSERT_EQ(needs.size(), 4U);
  EXPECT_TRUE(needs[0].recoverable) << needs[0].text;
  EXPECT_TRUE(needs[1].recoverable) << needs[1].text;
  EXPECT_EQ(needs[0].seen, 1.0);
  EXPECT_EQ(needs[0].text, "");

  EXPECT_FALSE(needs[2].recoverable);
  EXPECT_EQ(needs[2].lack, PhotoLack::too_steep);
  const Shot nearer = hand_held(hold_from(60.0));
  EXPECT_NEAR(needs[2].steep_deg, side().maker->steepness_deg(nearer, {130.0, 55.0}), 2.0);
  ASSERT_TRUE(needs[2].from_deg);
  EXPECT_NEAR(*needs[2].from_deg, 130.0, 3.0);
  EXPECT_NE(needs[2].text.find("number 3 is seen only at "), std::string::npos) << needs[2].text;
  EXPECT_NE(needs[2].text.find("; take one from 130°"), std::string::npos) << needs[2].text;

  EXPECT_FALSE(needs[3].recoverable);
  EXPECT_EQ(needs[3].lack, PhotoLack::not_in_view);
  EXPECT_EQ(needs[3].seen, 0.0);
  EXPECT_EQ(needs[3].text, "number 4 is not in view; take one from 220°");
}

TEST(PhotoNeeds, ThePhotosAskedForShowTheRest) {
  std::vector<FacePhoto> photos = side().photos;
  for (const PhotoNeed& need : side().needs(photos)) {
    if (need.from_deg) photos.push_back(photo_from(*side().maker, *need.from_deg));
  }
  EXPECT_EQ(photos.size(), 4U);
  for (const PhotoNeed& need : side().needs(photos)) EXPECT_TRUE(need.recoverable) << need.text;
}

TEST(PhotoNeeds, TellsBlurFromSteepness) {
  std::vector<FacePhoto> photos = side().photos;
  for (FacePhoto& photo : photos) photo.blur_px = 3.0;
  const std::vector<PhotoNeed> needs = side().needs(photos);
  EXPECT_FALSE(needs[0].recoverable);
  EXPECT_EQ(needs[0].lack, PhotoLack::blurred);
  EXPECT_NE(needs[0].text.find("number 1 is too blurred"), std::string::npos) << needs[0].text;
  EXPECT_EQ(needs[2].lack, PhotoLack::too_steep);
}

// A lamp mirrored over the drawing that both photos see.
TEST(PhotoNeeds, TellsGlare) {
  std::vector<FacePhoto> photos = side().photos;
  photos[0].picture = photos[0].picture.clone();
  const Vec2 px = *side().maker->px_of(hand_held(hold_from(5.0)), {35.0, 55.0});
  cv::circle(photos[0].picture,
             cv::Point(static_cast<int>(px.x), static_cast<int>(px.y)),
             32,
             cv::Scalar(255, 255, 255),
             cv::FILLED);
  EXPECT_TRUE(side().needs(photos)[1].recoverable);
  photos.resize(1);
  const PhotoNeed alone = side().needs(photos)[1];
  EXPECT_FALSE(alone.recoverable);
  EXPECT_EQ(alone.lack, PhotoLack::glare);
  ASSERT_TRUE(alone.from_deg);
  EXPECT_NEAR(*alone.from_deg, 70.0, 4.0);
  EXPECT_NE(alone.text.find("number 2 lies under glare"), std::string::npos) << alone.text;
}

TEST(PhotoNeeds, LinesOfPlacementsLieWhereTheMotifWasPlaced) {
  const Face tile{"tile", FlatFace{100, 80, {}, 0}, {}, 1.0};
  Linework bar;
  bar.strokes.push_back({Path::polyline({{0, 0}, {20, 0}}), 0.5, {}});
  const std::vector<Motif> motifs{make_motif("bar", bar)};
  PlacedFace face{tile, 1.0, surface_of(tile), {}, {}, 0.0};
  Placement placement;
  placement.id = 9;
  placement.motif = placement.variant = "bar";
  placement.change.turn_deg = 90.0;
  placement.at = {40.0, 30.0};
  face.placements = {placement};
  const std::vector<PlacementLines> lines = placement_lines(face, motifs);
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].placement, 9);
  ASSERT_EQ(lines[0].lines.size(), 1U);
  EXPECT_GE(lines[0].lines[0].size(), 21U);
  for (const FacePoint p : lines[0].lines[0]) EXPECT_NEAR(p.across, 40.0, 1e-9);
  EXPECT_NEAR(
      std::abs(lines[0].lines[0].front().along - lines[0].lines[0].back().along), 20.0, 1e-9);
  EXPECT_THROW(placement_lines(face, {}), GeometryError);
}

}  // namespace
}  // namespace underdraw::test
