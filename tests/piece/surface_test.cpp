#include "piece/surface.h"

#include <cmath>
#include <functional>
#include <numbers>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

double chord_of(double tape, double radius) { return 2.0 * radius * std::sin(tape / 2.0 / radius); }

PatchFace patch_of(double across, double across_radius, double up, double up_radius) {
  return {across, up, chord_of(across, across_radius), chord_of(up, up_radius)};
}

Face named(FaceForm form) { return {"wall", std::move(form), {}}; }

const std::vector<Face>& all_faces() {
  static const std::vector<Face> kFaces = {
      named(FlatFace{150.0, 100.0}),
      named(CylinderFace{314.0, 120.0}),
      named(ConeFace{220.0, 264.0, 98.5}),
      named(ConeFace{264.0, 220.0, 98.5}),
      named(TurnedFace{{{0, 310}, {40, 372}, {95, 300}}}),
      named(RingFace{180.0, 260.0}),
      named(RingFace{180.0, 260.0, 45.0}),
      named(BallFace{400.0}),
      named(patch_of(90.0, 70.0, 110.0, 140.0)),
      named(patch_of(90.0, 140.0, 110.0, 70.0)),
      named(PatchFace{90.0, 110.0, chord_of(90.0, 140.0), chord_of(110.0, 70.0), true}),
  };
  return kFaces;
}

// Points well inside a face.
std::vector<FacePoint> inner_points(const Surface& surface) {
  std::vector<FacePoint> points;
  const double wide = surface.round() ? 360.0 : surface.width_mm(0.0);
  for (const double across : {0.12, 0.31, 0.5, 0.77}) {
    for (const double along : {0.2, 0.45, 0.5, 0.8}) {
      points.push_back({across * wide, along * surface.along_mm()});
    }
  }
  return points;
}

TEST(Surface, ACylinderIsCircumferenceTimesHeight) {
  const Surface wall = surface_of(named(CylinderFace{314.0, 120.0}), 0.95);
  EXPECT_NEAR(wall.width_mm(10.0), 298.3, 1e-9);
  EXPECT_NEAR(wall.along_mm(), 114.0, 1e-9);
  EXPECT_NEAR(wall.area_mm2(), 298.3 * 114.0, 1e-6);
  EXPECT_TRUE(wall.developable());
}

// Lateral area of a cone: slant * (C1 + C2) / 2. Tape readings of check case "C 220 and 264".
TEST(Surface, AConeHasItsHandbookAreaAndTaper) {
  const Surface wall = surface_of(named(ConeFace{220.0, 264.0, 98.5}));
  EXPECT_NEAR(wall.area_mm2(), 98.5 * (220.0 + 264.0) / 2.0, 1e-6);
  EXPECT_NEAR(2 * kPi * wall.taper(50.0), radians(25.5940538), 1e-8);  // (C2 - C1) / s
  EXPECT_NEAR(wall.width_mm(49.25), 242.0, 1e-9);
}

// The net of a frustum, worked example: d 5 and 8 inch, 4 inch apart: radii 7.12 and 11.39 inch,
// 126.4 degrees (ceemrr.com, Geometry 2, "The Net of a Frustum"). Paper laid at the middle of the
// foot must reach the seam where the net's corner is.
TEST(Surface, PaperOnAConeLiesAsItsNet) {
  constexpr double kInch = 25.4;
  const double slant = 4.272002 * kInch;
  const Surface duct = surface_of(named(ConeFace{kPi * 5 * kInch, kPi * 8 * kInch, slant}));
  const double inner = 7.1200031 * kInch, outer = 11.3920050 * kInch;
  const double half = radians(126.4044390 / 2.0);
  const Vec2 foot_corner = duct.paper_at({180.0, 0.0}, {359.999999, 0.0});
  EXPECT_NEAR(foot_corner.x, inner * std::sin(half), 1e-4);
  EXPECT_NEAR(foot_corner.y, inner - inner * std::cos(half), 1e-4);
  const Vec2 rim_corner = duct.paper_at({180.0, 0.0}, {359.999999, slant});
  EXPECT_NEAR(rim_corner.x, outer * std::sin(half), 1e-4);
  EXPECT_NEAR(rim_corner.y, inner - outer * std::cos(half), 1e-4);
}

// A full cone with a right angle at its tip develops to 254.6 degrees (anvilfire.com, "Cones").
TEST(Surface, ASteepConeOpensByTheSineOfHalfItsApexAngle) {
  const double rim = 2 * kPi * 100.0 * std::sin(radians(45.0));
  const Surface cone = surface_of(named(ConeFace{rim * 0.2, rim, 80.0}));  // the tip cut off
  EXPECT_NEAR(360.0 * cone.taper(40.0), 254.5584412, 1e-6);
}

// 4 pi R² of a ball, and its curvature 1 / R².
TEST(Surface, ABallHasItsAreaAndCurvature) {
  const Surface ball = surface_of(named(BallFace{2 * kPi * 50.0}));
  EXPECT_NEAR(ball.area_mm2() / (4 * kPi * 2500.0), 1.0, 1e-9);
  EXPECT_FALSE(ball.developable());
  for (const double s : {5.0, 40.0, 78.0, 120.0}) {
    for (const double reach : {1.0, 10.0, 40.0}) {
      EXPECT_NEAR(ball.gaussian_curvature({0.0, s}, reach) * 2500.0, 1.0, 1e-4) << s;
    }
  }
}

TEST(Surface, DevelopableFacesHaveNoCurvature) {
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face);
    if (!surface.developable()) continue;
    EXPECT_EQ(surface.gaussian_curvature(inner_points(surface)[5], 10.0), 0.0);
  }
  // Bent one way only.
  EXPECT_TRUE(surface_of(named(PatchFace{90, 110, 90, chord_of(110, 80)})).developable());
}

// Gauss: the product of the two curvatures.
TEST(Surface, APatchHasTheProductOfItsCurvatures) {
  for (const auto& [across, up] : {std::pair{70.0, 140.0}, {140.0, 70.0}, {100.0, 100.0}}) {
    PatchFace form = patch_of(90.0, across, 110.0, up);
    const Surface bulge = surface_of(named(form));
    const FacePoint middle{45.0, 55.0};
    EXPECT_NEAR(bulge.gaussian_curvature(middle, 0.5) * across * up, 1.0, 1e-3);
    form.saddle = true;
    const Surface saddle = surface_of(named(form));
    EXPECT_NEAR(saddle.gaussian_curvature(middle, 0.5) * across * up, -1.0, 1e-3);
  }
}

TEST(Surface, ABellyCurvesAndAWaistCurvesTheOtherWay) {
  const Surface jar = surface_of(named(TurnedFace{{{0, 250}, {50, 372}, {100, 220}, {140, 300}}}));
  double belly = 0.0, waist = 0.0, widest = 0.0, narrowest = 1e9;
  for (double s = 20.0; s < jar.along_mm() - 10.0; s += 0.5) {
    if (jar.width_mm(s) > widest) widest = jar.width_mm(s), belly = s;
    if (jar.width_mm(s) < narrowest && s > belly) narrowest = jar.width_mm(s), waist = s;
  }
  EXPECT_GT(jar.gaussian_curvature({0, belly}, 10.0), 1e-5);
  EXPECT_LT(jar.gaussian_curvature({0, waist}, 10.0), -1e-5);
}

// The tape lengths and chords that were typed in come back from the model in space.
TEST(Surface, APatchInSpaceHasTheChordsThatWereMeasured) {
  for (const bool saddle : {false, true}) {
    for (const auto& [ra, ru] : {std::pair{70.0, 140.0}, {140.0, 70.0}, {90.0, 90.0}}) {
      PatchFace form = patch_of(90.0, ra, 110.0, ru);
      form.saddle = saddle;
      const Surface patch = surface_of(named(form));
      const double across = length(patch.in_space({90.0, 55.0}) - patch.in_space({0.0, 55.0}));
      const double up = length(patch.in_space({45.0, 110.0}) - patch.in_space({45.0, 0.0}));
      EXPECT_NEAR(across, form.across_chord_mm, 1e-5) << ra << " " << saddle;
      EXPECT_NEAR(up, form.up_chord_mm, 1e-5) << ra << " " << saddle;
    }
  }
}

TEST(Surface, LaidAndPaperAtAreInverse) {
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face, 0.97);
    for (const FacePoint at : inner_points(surface)) {
      for (const Vec2 paper : {Vec2{0, 0}, Vec2{7, 3}, Vec2{-5, 8}, Vec2{-9, -6}, Vec2{0, 11}}) {
        const Vec2 back = surface.paper_at(at, surface.laid(at, paper));
        EXPECT_LT(distance(back, paper), 1e-9) << name_of(face.form) << " " << at.along;
      }
    }
  }
}

// A short way over the face is as long as the straight line in space.
TEST(Surface, AShortWayIsAsLongAsInSpace) {
  constexpr double kShort = 0.02;
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face);
    for (const FacePoint at : inner_points(surface)) {
      const double per_across = surface.mm_per_across(at.along);
      for (const Vec2 go : {Vec2{1, 0}, Vec2{0, 1}, Vec2{0.6, 0.8}, Vec2{-0.8, 0.6}}) {
        const FacePoint to{at.across + kShort * go.x / per_across, at.along + kShort * go.y};
        const double in_space = length(surface.in_space(to) - surface.in_space(at));
        EXPECT_NEAR(length(surface.way(at, to)) / in_space, 1.0, 1e-3)
            << name_of(face.form) << " " << at.across << " " << at.along << " " << go.x;
      }
    }
  }
}

// Laid paper keeps the lengths and directions of short lines.
TEST(Surface, PaperIsLaidTrueToSize) {
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face);
    for (const FacePoint at : inner_points(surface)) {
      for (const Vec2 paper : {Vec2{0.02, 0}, Vec2{0, 0.02}, Vec2{-0.01, 0.016}}) {
        const FacePoint to = surface.laid(at, paper);
        EXPECT_LT(distance(surface.way(at, to), paper), 2e-5) << name_of(face.form);
        EXPECT_NEAR(length(surface.in_space(to) - surface.in_space(at)), length(paper), 2e-5)
            << name_of(face.form);
      }
    }
  }
}

TEST(Surface, OutwardStandsUprightOnTheFace) {
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face);
    for (const FacePoint at : inner_points(surface)) {
      const Vec3 out = surface.outward(at);
      EXPECT_NEAR(length(out), 1.0, 1e-9);
      const Vec3 here = surface.in_space(at);
      const double step = 0.01;
      const Vec3 right =
          surface.in_space({at.across + step / surface.mm_per_across(at.along), at.along}) - here;
      const Vec3 up =
          surface.in_space({at.across, at.along + step * surface.up_per_along()}) - here;
      EXPECT_NEAR(dot(out, right) / step, 0.0, 1e-3) << name_of(face.form);
      EXPECT_NEAR(dot(out, up) / step, 0.0, 1e-3) << name_of(face.form);
      // Right, up and outward, as seen from outside.
      EXPECT_GT(dot(cross(right, up), out), 0.0) << name_of(face.form);
    }
  }
}

// Area as the sum of small triangles in space, against the closed form of the profile.
TEST(Surface, AreaIsThatOfTheModelInSpace) {
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face);
    const double wide = surface.round() ? 360.0 : surface.width_mm(0.0);
    constexpr int kCount = 120;
    const auto at = [&](int i, int j) {
      return surface.in_space({wide * i / kCount, surface.along_mm() * j / kCount});
    };
    double area = 0.0;
    for (int i = 0; i < kCount; ++i) {
      for (int j = 0; j < kCount; ++j) {
        area += length(cross(at(i + 1, j) - at(i, j), at(i, j + 1) - at(i, j))) / 2.0;
        area += length(cross(at(i, j + 1) - at(i + 1, j + 1), at(i + 1, j) - at(i + 1, j + 1))) / 2;
      }
    }
    EXPECT_NEAR(area / surface.area_mm2(), 1.0, 6e-4) << name_of(face.form);
  }
}

TEST(Surface, TheWholeFaceAsARingHasItsArea) {
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face);
    const double wide = surface.round() ? 360.0 : surface.widest_mm();
    const Rings whole = ring_of(Box{{0.0, 0.0}, {wide, surface.along_mm()}});
    EXPECT_NEAR(surface.area_mm2(whole), surface.area_mm2(), 1e-6 * surface.area_mm2())
        << name_of(face.form);
  }
}

TEST(Surface, ASmallDiscOfPaperCoversItsAreaAnywhere) {
  Ring disc;
  for (int i = 0; i < 180; ++i) {
    disc.push_back(Vec2{std::cos(radians(2.0 * i)), std::sin(radians(2.0 * i))} * 4.0);
  }
  const double paper = signed_area(disc);
  for (const Face& face : all_faces()) {
    const Surface surface = surface_of(face);
    for (const FacePoint at : inner_points(surface)) {
      Ring lying;
      for (const Vec2 p : disc) {
        const FacePoint on = surface.laid(at, p);
        const double across =
            surface.round() ? at.across + std::remainder(on.across - at.across, 360.0) : on.across;
        lying.push_back({across, on.along});
      }
      // Paper that creases covers a little more or less: curvature times its area, by 4.
      const double bent = std::abs(surface.gaussian_curvature(at, 4.0)) * paper;
      EXPECT_NEAR(surface.area_mm2({lying}), paper, (0.001 + bent) * paper)
          << name_of(face.form) << " " << at.across << " " << at.along;
    }
  }
}

TEST(Surface, ABallAndTheSameBallMeasuredAsTurnedAgree) {
  constexpr double kRadius = 60.0;
  TurnedFace wall;
  wall.along_wall = true;
  for (int i = 0; i <= 18; ++i) {
    const double turn = radians(30.0 + 120.0 * i / 18);
    wall.readings.push_back({kRadius * (turn - radians(30.0)), 2 * kPi * kRadius * std::sin(turn)});
  }
  const Surface turned = surface_of(named(wall));
  const Surface ball = surface_of(named(BallFace{2 * kPi * kRadius}));
  const double shift = kRadius * radians(30.0);
  for (double s = 15.0; s < turned.along_mm() - 15.0; s += 7.0) {
    EXPECT_NEAR(turned.width_mm(s), ball.width_mm(s + shift), 0.1) << s;
    EXPECT_NEAR(turned.taper(s), ball.taper(s + shift), 0.01) << s;
    EXPECT_NEAR(turned.gaussian_curvature({0, s}, 12.0) * kRadius * kRadius, 1.0, 0.03) << s;
    const Vec2 paper = turned.paper_at({0, s}, {12.0, s + 8.0});
    EXPECT_LT(distance(paper, ball.paper_at({0, s + shift}, {12.0, s + shift + 8.0})), 0.05) << s;
  }
}

TEST(Surface, AnglesGrowToTheRightAndTheSeamIsOneLine) {
  const Surface wall = surface_of(named(CylinderFace{360.0, 100.0}));
  EXPECT_NEAR(wall.way({10, 20}, {20, 30}).x, 10.0, 1e-9);
  EXPECT_NEAR(wall.way({10, 20}, {20, 30}).y, -10.0, 1e-9);
  EXPECT_NEAR(wall.way({355, 20}, {5, 20}).x, 10.0, 1e-9);
  EXPECT_NEAR(wall.laid({355, 20}, {10, 0}).across, 5.0, 1e-9);
  EXPECT_NEAR(wall.paper_at({5, 20}, {355, 20}).x, -10.0, 1e-9);
}

TEST(Surface, AZoneShrinksWithThePiece) {
  const KeepOut zone{10, 30, 20, 40, "hole"};
  const KeepOut flat = surface_of(named(FlatFace{100, 80}), 0.9).scaled(zone);
  EXPECT_NEAR(flat.across_from, 9.0, 1e-12);
  EXPECT_NEAR(flat.along_to, 36.0, 1e-12);
  const KeepOut round = surface_of(named(CylinderFace{300, 80}), 0.9).scaled(zone);
  EXPECT_EQ(round.across_to, 30.0);
  EXPECT_NEAR(round.along_from, 18.0, 1e-12);
}

std::string refusal(const FaceForm& form) {
  try {
    surface_of(named(form));
  } catch (const GeometryError& error) {
    return error.complaint().text();
  }
  return "";
}

TEST(Surface, RefusesReadingsThatContradictEachOtherWithBothNumbers) {
  const auto expect = [](const FaceForm& form, const std::string& a, const std::string& b) {
    const std::string text = refusal(form);
    EXPECT_NE(text.find(a), std::string::npos) << text;
    EXPECT_NE(text.find(b), std::string::npos) << text;
    EXPECT_NE(text.find("'wall'"), std::string::npos) << text;
    EXPECT_EQ(text.find('\n'), std::string::npos);
  };
  expect(PatchFace{90, 110, 95, 100}, "95", "90");
  expect(PatchFace{90, 110, 85, 60}, "60", "110");
  expect(ConeFace{200, 500, 40}, "47.7", "40.0");
  expect(RingFace{260, 180}, "180", "260");
  expect(RingFace{180, 260, 30}, "40.0", "30.0");
  expect(TurnedFace{{{0, 300}, {12, 400}}, true}, "15.9", "12.0");
}

TEST(Surface, RefusesSizesThatNoPieceHas) {
  for (const double mm : {0.0, -5.0, 30000.0, std::nan("")}) {
    EXPECT_NE(refusal(CylinderFace{mm, 100.0}), "") << mm;
    EXPECT_NE(refusal(FlatFace{100.0, mm}), "") << mm;
    EXPECT_NE(refusal(BallFace{mm}), "") << mm;
    EXPECT_NE(refusal(PatchFace{mm, 100.0, mm, 90.0}), "") << mm;
  }
}

}  // namespace
}  // namespace underdraw
