#include "piece/readings.h"

#include <cmath>
#include <functional>
#include <numbers>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

std::string refusal(const std::function<double()>& reading) {
  try {
    reading();
  } catch (const GeometryError& error) {
    return error.complaint().text();
  }
  return "";
}

void expect_both(const std::string& text, const std::string& a, const std::string& b) {
  EXPECT_NE(text.find(a), std::string::npos) << text;
  EXPECT_NE(text.find(b), std::string::npos) << text;
}

TEST(Readings, DiameterAndCircumferenceMayDifferByTwoPercent) {
  EXPECT_EQ(circumference_from(314.0, {}, ""), 314.0);
  EXPECT_NEAR(circumference_from({}, 100.0, ""), kPi * 100.0, 1e-12);
  EXPECT_EQ(circumference_from(314.0, 100.0, ""), 314.0);
  EXPECT_EQ(circumference_from(320.4, 100.0, ""), 320.4);  // 1.95 % above
  expect_both(
      refusal([] { return circumference_from(321.0, 100.0, "at the rim"); }), "321", "100 mm at");
  expect_both(refusal([] { return circumference_from(307.0, 100.0, ""); }), "307", "100");
  EXPECT_NE(refusal([] { return circumference_from({}, {}, ""); }), "");
  EXPECT_EQ(diameter_from(100.0, 314.0, ""), 100.0);
  EXPECT_NEAR(diameter_from({}, 314.0, ""), 314.0 / kPi, 1e-12);
  expect_both(refusal([] { return diameter_from(100.0, 330.0, ""); }), "330", "100");
}

// Slants of d 60 and 80, h 95; d 70 and 85, h 100; d 60 and 120, h 45 (s = sqrt(h² + dr²)).
TEST(Readings, ASlantFollowsFromTheHeight) {
  EXPECT_NEAR(cone_slant_mm(kPi * 60, kPi * 80, 95.0, {}), 95.5248659, 1e-6);
  EXPECT_NEAR(cone_slant_mm(kPi * 85, kPi * 70, 100.0, {}), 100.2808556, 1e-6);
  EXPECT_NEAR(cone_slant_mm(kPi * 60, kPi * 120, 45.0, {}), 54.0832691, 1e-6);
  EXPECT_EQ(cone_slant_mm(220, 264, {}, 98.5), 98.5);
}

TEST(Readings, ASlantAndAHeightMustAgree) {
  EXPECT_EQ(cone_slant_mm(kPi * 60, kPi * 80, 95.0, 96.0), 96.0);
  expect_both(refusal([] { return cone_slant_mm(kPi * 60, kPi * 80, 95.0, 99.0); }), "99", "95");
  const std::string shorter = refusal([] { return cone_slant_mm(kPi * 60, kPi * 80, 95.0, 90.0); });
  expect_both(shorter, "90 mm is shorter than the height", "95");
  // The radius changes by 30 mm over a wall of 20.
  expect_both(refusal([] { return cone_slant_mm(kPi * 60, kPi * 120, {}, 20.0); }), "20", "30.0");
  EXPECT_NE(refusal([] { return cone_slant_mm(220, 264, {}, {}); }), "");
}

TEST(Readings, ARingIsFlatUnlessItRises) {
  EXPECT_NEAR(ring_slant_mm(180, 260, {}, {}), 40.0, 1e-12);
  EXPECT_NEAR(ring_slant_mm(180, 260, 9.0, {}), 41.0, 1e-12);  // 9, 40, 41
  EXPECT_EQ(ring_slant_mm(180, 260, {}, 39.5), 40.0);          // a ruler's reading of a flat one
  EXPECT_EQ(ring_slant_mm(180, 260, 9.0, 41.2), 41.2);
  expect_both(refusal([] { return ring_slant_mm(180, 260, {}, 30.0); }), "30", "40.0");
  expect_both(refusal([] { return ring_slant_mm(180, 260, 9.0, 45.0); }), "45", "9");
  expect_both(refusal([] { return ring_slant_mm(260, 180, {}, {}); }), "260", "180");
}

// An arc of radius 100 and 120 long has a chord of 2 * 100 * sin(0.6).
TEST(Readings, ABendFollowsFromTapeAndChord) {
  EXPECT_NEAR(bend_per_mm(120.0, 200.0 * std::sin(0.6)), 0.01, 1e-12);
  EXPECT_NEAR(bend_per_mm(kPi * 50.0, 100.0), 0.02, 1e-12);
  EXPECT_EQ(bend_per_mm(120.0, 120.0), 0.0);
}

TEST(TapeEffect, ASeamIsOffByTheTapeAndEachGapByItsShare) {
  Face face{"wall", CylinderFace{372.0, 100.0}, {}};
  face.tape_mm = 1.5;
  const TapeEffect effect = tape_effect(face, 12, 0.9);
  EXPECT_NEAR(effect.seam_mm, 1.35, 1e-12);
  EXPECT_NEAR(effect.gap_mm, 1.35 / 12, 1e-12);
  EXPECT_FALSE(effect.curvature_per_mm2);
  EXPECT_NE(effect.text.find("12 gaps"), std::string::npos) << effect.text;
  EXPECT_EQ(tape_effect({"tile", FlatFace{100, 100}, {}}, 4).seam_mm, 0.0);
  // A ring is measured across, so what it is off by round is pi times that.
  EXPECT_NEAR(tape_effect({"rim", RingFace{180, 260}, {}}, 1).seam_mm, kPi, 1e-12);
}

// K = (2 pi / C)², so its doubt is 2 e / C of it.
TEST(TapeEffect, ABallIsKnownWell) {
  const TapeEffect effect = tape_effect({"ball", BallFace{2 * kPi * 50.0}, {}}, 8);
  EXPECT_NEAR(*effect.curvature_per_mm2, 1.0 / 2500.0, 1e-12);
  EXPECT_NEAR(
      effect.curvature_doubt_per_mm2 / *effect.curvature_per_mm2, 2.0 / (2 * kPi * 50.0), 1e-6);
  // Diameter of a patch with 1 % misfit on R = 50: 24.53 (derived from 1 - sin x / x = 0.01).
  EXPECT_LT(effect.largest_flat.low_mm, 24.53);
  EXPECT_GT(*effect.largest_flat.high_mm, 24.53);
}

TEST(TapeEffect, APatchIsKnownBadlyAndSaysSo) {
  // R = 100 both ways, 100 mm of tape: chord and tape differ by 4.1 mm only.
  const double chord = 200.0 * std::sin(0.5);
  Face face{"breast", PatchFace{100, 100, chord, chord}, {}};
  const TapeEffect effect = tape_effect(face, 1);
  EXPECT_NEAR(*effect.curvature_per_mm2, 1e-4, 1e-9);
  // To first order the bend is off by half of sqrt(2) / 4.11 mm, twice and independently: 24 %.
  EXPECT_NEAR(effect.curvature_doubt_per_mm2 / 1e-4, 0.243, 0.02);
  EXPECT_LT(effect.largest_flat.low_mm, 46.0);
  EXPECT_GT(*effect.largest_flat.high_mm, 54.0);
  face.tape_mm = 0.1;
  EXPECT_NEAR(tape_effect(face, 1).curvature_doubt_per_mm2 / 1e-4, 0.0243, 0.002);
  // Where the tape could hide all curvature there is no upper end.
  face.form = PatchFace{40, 40, 39.5, 39.5};
  face.tape_mm = 1.0;
  EXPECT_FALSE(tape_effect(face, 1).largest_flat.high_mm);
  face.form = PatchFace{100, 100, chord, chord, true};
  EXPECT_NEAR(*tape_effect(face, 1).curvature_per_mm2, -1e-4, 1e-9);
}

TEST(TapeEffect, ATurnedWallIsKnownWorseTheCloserItsReadings) {
  const auto doubt = [](int count) {
    TurnedFace wall;
    for (int i = 0; i <= count; ++i) {
      const double at = -60.0 + 120.0 * i / count;
      wall.readings.push_back({at + 60.0, 2 * kPi * (20.0 + std::sqrt(6400.0 - at * at))});
    }
    const TapeEffect effect = tape_effect({"wall", wall, {}}, 8);
    return effect.curvature_doubt_per_mm2 / std::abs(effect.curvature_per_mm2.value_or(0.0));
  };
  EXPECT_GT(doubt(4), 0.005);
  EXPECT_LT(doubt(4), 0.2);
  EXPECT_GT(doubt(12), doubt(4));
}

}  // namespace
}  // namespace underdraw
