#include "piece/face_template.h"

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

const Face kWall{"wall", CylinderFace{314.0, 120.0}, {}};
const Face kTile{"front", FlatFace{150.0, 100.0}, {}};

TEST(FaceTemplate, ACylinderUnrollsToCircumferenceTimesHeight) {
  const FaceTemplate flat = face_template(kWall, 0.95);
  EXPECT_TRUE(flat.closes_round);
  EXPECT_NEAR(flat.width_mm, 298.3, 1e-12);
  EXPECT_NEAR(flat.height_mm, 114.0, 1e-12);
  EXPECT_NEAR(flat.area_mm2(), 298.3 * 114.0, 1e-9);
}

TEST(FaceTemplate, TheFootIsBelowAndAnglesGrowToTheRightFromTheTick) {
  const FaceTemplate flat = face_template(kWall);
  EXPECT_EQ(flat.template_from_face({0, 0}), (Vec2{0, 120}));
  EXPECT_EQ(flat.template_from_face({90, 120}), (Vec2{78.5, 0}));
  EXPECT_EQ(flat.template_from_face({-90, 20}), (Vec2{235.5, 100}));
}

TEST(FaceTemplate, ThereAndBackIsTheSamePoint) {
  for (const Face& face : {kWall, kTile}) {
    const FaceTemplate flat = face_template(face, 0.97);
    for (double x = 0; x < flat.width_mm; x += 13.7) {
      for (double y = 0; y <= flat.height_mm; y += 11.3) {
        EXPECT_LT(distance(flat.template_from_face(flat.face_from_template({x, y})), {x, y}), 1e-9);
      }
    }
  }
}

TEST(FaceTemplate, AFlatFaceKeepsItsOwnFrame) {
  const FaceTemplate flat = face_template(kTile);
  EXPECT_FALSE(flat.closes_round);
  EXPECT_EQ(flat.template_from_face({12, 34}), (Vec2{12, 34}));
}

TEST(KeepOut, AZoneOverTheSeamBecomesTwoBoxes) {
  const FaceTemplate flat = face_template(kWall);
  for (const auto& [from, to] : {std::pair{350.0, 10.0}, {-10.0, 10.0}, {350.0, 370.0}}) {
    const auto boxes = flat.boxes_of({from, to, 20, 80, "handle"}, 1.0);
    ASSERT_EQ(boxes.size(), 2U);
    EXPECT_NEAR(boxes[0].min.x, 314.0 * 350 / 360, 1e-9);
    EXPECT_NEAR(boxes[0].max.x, 314.0, 1e-9);
    EXPECT_NEAR(boxes[1].max.x, 314.0 * 10 / 360, 1e-9);
    EXPECT_NEAR(boxes[1].min.y, 40.0, 1e-9);
    EXPECT_NEAR(boxes[1].max.y, 100.0, 1e-9);
  }
  EXPECT_EQ(flat.boxes_of({170, 190, 20, 80, "handle"}, 1.0).size(), 1U);
  EXPECT_NEAR(flat.boxes_of({0, 360, 0, 10, "foot"}, 1.0)[0].width(), 314.0, 1e-9);
}

TEST(KeepOut, ShrinksWithThePiece) {
  const FaceTemplate flat = face_template(kTile, 0.9);
  const auto boxes = flat.boxes_of({10, 30, 20, 40, "hole"}, 0.9);
  ASSERT_EQ(boxes.size(), 1U);
  EXPECT_NEAR(boxes[0].min.x, 9.0, 1e-12);
  EXPECT_NEAR(boxes[0].max.y, 36.0, 1e-12);
}

TEST(FaceTemplate, RefusesSizesThatNoPieceHas) {
  for (const double mm : {0.0, -5.0, 6000.0, std::nan("")}) {
    EXPECT_THROW(face_template({"wall", CylinderFace{mm, 100.0}, {}}), GeometryError) << mm;
    EXPECT_THROW(face_template({"tile", FlatFace{100.0, mm}, {}}), GeometryError) << mm;
  }
}

}  // namespace
}  // namespace underdraw
