#include "piece/creasing.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

Surface ball_of(double radius) { return surface_of({"ball", BallFace{2 * kPi * radius}, {}}); }

// Deficit of a geodesic circle on R = 100, percent (C = 2 pi R sin(r / R); Bertrand, Puiseux 1848).
TEST(Creasing, TheRimOfADiscIsTooLongByBertrandAndPuiseux) {
  const std::pair<double, double> rows[] = {
      {10, 0.1665834}, {20, 0.6653346}, {25, 1.0384163}, {50, 4.1148923}, {100, 15.8529015}};
  for (const auto& [radius, percent] : rows) {
    EXPECT_NEAR(100 * disc_misfit(1e-4, radius), percent, 1e-6);
  }
  EXPECT_EQ(disc_misfit(0.0, 50.0), 0.0);
  EXPECT_NEAR(disc_misfit(-1e-4, 50.0), 1.0 - std::sinh(0.5) / 0.5, 1e-12);
  // Where the series takes over from the sine there is no step.
  EXPECT_NEAR(disc_misfit(1e-4, 4.9999), disc_misfit(1e-4, 5.0001), 1e-7);
}

// r / R and h / R for a wanted misfit, and diameters for R = 40 to 100.
TEST(Creasing, TheLargestFlatPatchIsTheTables) {
  struct Row {
    double percent, disc, strip;
  };
  for (const Row& row : {Row{0.25, 0.1225205, 0.0707254},
                         Row{0.5, 0.1733352, 0.1000417},
                         Row{1, 0.2453178, 0.1415395},
                         Row{2, 0.3474574, 0.2003348},
                         Row{5, 0.5519110, 0.3175604},
                         Row{10, 0.7866831, 0.4510268}}) {
    EXPECT_NEAR(*flat_disc_radius_mm(1e-4, row.percent) / 100.0, row.disc, 1e-7);
    EXPECT_NEAR(*flat_strip_half_width_mm(1e-4, row.percent) / 100.0, row.strip, 1e-7);
  }
  for (const auto& [radius, diameter] :
       {std::pair{40.0, 19.63}, {50.0, 24.53}, {60.0, 29.44}, {80.0, 39.25}, {100.0, 49.06}}) {
    EXPECT_NEAR(2 * *flat_disc_radius_mm(1 / (radius * radius), 1.0), diameter, 0.01);
  }
  EXPECT_FALSE(flat_disc_radius_mm(0.0, 1.0));
}

// w(p) = 2 pi (p - R sin(p / R)) / n on R = 60.
TEST(Creasing, DartsAreAsWideAsTheTables) {
  const double k = 1.0 / 3600.0;
  EXPECT_NEAR(dart_width_mm(k, 30.0) / 4, 1.9390973, 1e-6);
  EXPECT_NEAR(dart_width_mm(k, 30.0) / 6, 1.2927315, 1e-6);
  EXPECT_NEAR(dart_width_mm(k, 15.0) / 8, 0.1223355, 1e-6);
  EXPECT_LT(dart_width_mm(-k, 30.0), 0.0);
}

// Petals of half width pi R sin(p / R) / n, at most a strip's h = 0.1415395 R for 1 %.
TEST(Creasing, ThereAreAsManyDartsAsPetalsMustBeNarrow) {
  for (const double x : {0.3, 0.5, 0.8, 1.2}) {
    const int n = dart_count(1e-4, 100.0 * x, 1.0);
    EXPECT_LE(kPi * std::sin(x) / n, 0.1415395 + 1e-7);
    EXPECT_GT(kPi * std::sin(x) / (n - 1), 0.1415395);
  }
  EXPECT_EQ(dart_count(1e-4, 50.0, 1.0), 11);
  EXPECT_EQ(dart_count(1e-4, 24.5, 1.0), 0);
  EXPECT_EQ(dart_count(0.0, 500.0, 1.0), 0);
  EXPECT_GT(dart_count(-1e-4, 50.0, 1.0), 0);
}

TEST(Creasing, OnABallItIsTheBallsOwn) {
  const Surface ball = ball_of(80.0);
  const Creasing small = creasing_at(ball, {0, 125.0}, 15.0);
  EXPECT_TRUE(small.flat);
  EXPECT_NEAR(*small.largest_flat_mm, 39.25, 0.02);
  EXPECT_NEAR(*small.scale_that_fits, 39.25 / 30.0, 0.001);
  const Creasing large = creasing_at(ball, {0, 125.0}, 40.0);
  EXPECT_FALSE(large.flat);
  EXPECT_NEAR(large.strain_percent, 4.1148923, 0.001);
  EXPECT_NEAR(*large.scale_that_fits, 39.25 / 80.0, 0.001);
}

TEST(Creasing, NothingCreasesOnWallsThatUnroll) {
  for (const FaceForm& form : {FaceForm(CylinderFace{300, 100}),
                               FaceForm(ConeFace{200, 300, 100}),
                               FaceForm(RingFace{180, 260}),
                               FaceForm(FlatFace{100, 100})}) {
    const Creasing creasing = creasing_at(surface_of({"wall", form, {}}), {10, 40}, 60.0);
    EXPECT_TRUE(creasing.flat);
    EXPECT_EQ(creasing.strain_percent, 0.0);
    EXPECT_FALSE(creasing.largest_flat_mm);
  }
}

TEST(Creasing, WhatIsScaledToFitLiesFlat) {
  const Surface jar =
      surface_of({"wall", TurnedFace{{{0, 250}, {50, 372}, {100, 220}, {140, 300}}}, {}});
  for (double s = 20.0; s < jar.along_mm() - 20.0; s += 9.0) {
    const Creasing creasing = creasing_at(jar, {40, s}, 45.0);
    ASSERT_TRUE(creasing.scale_that_fits) << s;
    const double radius = 45.0 * *creasing.scale_that_fits;
    EXPECT_TRUE(creasing_at(jar, {40, s}, 0.999 * radius).flat) << s;
    EXPECT_FALSE(creasing_at(jar, {40, s}, 1.05 * radius).flat) << s;
  }
}

// Between a belly and a waist the curvature has a mean near nothing, yet the paper does not lie.
TEST(Creasing, ABellyAndAWaistDoNotCancel) {
  const Surface jar =
      surface_of({"wall", TurnedFace{{{0, 250}, {50, 372}, {100, 220}, {140, 300}}}, {}});
  double s = 60.0;
  double least = 1.0;
  for (double at = 50.0; at < 110.0; at += 0.5) {
    const double k = std::abs(jar.gaussian_curvature({0, at}, 40.0));
    if (k < least) least = k, s = at;
  }
  const Creasing creasing = creasing_at(jar, {0, s}, 40.0);
  EXPECT_LT(std::abs(100 * disc_misfit(jar.gaussian_curvature({0, s}, 40.0), 40.0)), 1.0);
  EXPECT_GT(dart_count(creasing.curvature_per_mm2, 40.0, 1.0), 0);
  EXPECT_GT(std::abs(creasing.strain_percent), 1.0);
}

TEST(Creasing, RefusesLimitsThatMakeNoSense) {
  CreasingOptions options;
  options.strain_limit_percent = 0.0;
  EXPECT_THROW(creasing_at(ball_of(80), {0, 100}, 10, options), OptionError);
}

}  // namespace
}  // namespace underdraw
