#include "repeat/spacing_quality.h"

#include <cmath>
#include <functional>
#include <numbers>

#include <gtest/gtest.h>

#include "repeat/scatter_random.h"
#include "repeat/touching.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

std::vector<Vec2> disc(Vec2 at, double radius, int corners = 90) {
  std::vector<Vec2> ring;
  for (int i = 0; i < corners; ++i) {
    const double a = 2.0 * kPi * i / corners;
    ring.push_back(at + Vec2{std::cos(a), std::sin(a)} * radius);
  }
  return ring;
}

SpacedPlane torus(const std::vector<Vec2>& middles, double size, double radius) {
  SpacedPlane plane{size, size, true, true};
  for (const Vec2 p : middles) plane.shapes.push_back({{disc(p, radius)}, 0});
  return plane;
}

// 64 equal discs on a torus, 35 % ink. The side is 100 mm in place of one unit.
constexpr double kSide = 100.0;
constexpr int kAcross = 8;
constexpr double kPitch = kSide / kAcross;
const double kRadius = std::sqrt(0.35 / 64.0 / kPi) * kSide;

// Box and Muller.
Vec2 normal(ScatterRandom& random) {
  const double far = std::sqrt(-2.0 * std::log(1.0 - random.unit()));
  const double turn = 2.0 * kPi * random.unit();
  return {far * std::cos(turn), far * std::sin(turn)};
}

std::vector<Vec2> lattice(double shift_of_odd_columns, double jitter, ScatterRandom& random) {
  std::vector<Vec2> out;
  for (int c = 0; c < kAcross; ++c) {
    for (int r = 0; r < kAcross; ++r) {
      const double down = r + 0.5 + (c % 2 == 1 ? shift_of_odd_columns : 0.0);
      const Vec2 off = normal(random) * jitter;
      out.push_back({(c + 0.5 + off.x) * kPitch, (down + off.y) * kPitch});
    }
  }
  return out;
}

std::vector<Vec2> by_chance(int count, double size, ScatterRandom& random) {
  std::vector<Vec2> out;
  for (int i = 0; i < count; ++i) {
    out.push_back({random.between(0.0, size), random.between(0.0, size)});
  }
  return out;
}

double torus_distance(Vec2 a, Vec2 b) {
  Vec2 d = b - a;
  d.x -= kSide * std::round(d.x / kSide);
  d.y -= kSide * std::round(d.y / kSide);
  return length(d);
}

// Darts thrown until 64 stand at least this far apart.
std::vector<Vec2> darts(double apart, ScatterRandom& random) {
  for (;;) {
    std::vector<Vec2> out;
    for (int tries = 0; tries < 20000 && out.size() < 64; ++tries) {
      const Vec2 p{random.between(0.0, kSide), random.between(0.0, kSide)};
      bool free = true;
      for (const Vec2 q : out) free = free && torus_distance(p, q) >= apart;
      if (free) out.push_back(p);
    }
    if (out.size() == 64) return out;
  }
}

SpacingQuality mean_of(int runs, const std::function<std::vector<Vec2>(ScatterRandom&)>& make) {
  SpacingQuality mean;
  for (int i = 0; i < runs; ++i) {
    ScatterRandom random(static_cast<std::uint64_t>(i) + 1);
    const SpacingQuality q = spacing_quality(torus(make(random), kSide, kRadius));
    mean.nearest_cv += q.nearest_cv / runs;
    mean.relative_radius += q.relative_radius / runs;
    mean.corridor_share += q.corridor_share / runs;
    mean.profile_variation += q.profile_variation / runs;
    mean.empty_radii += q.empty_radii / runs;
    mean.row_strength += q.row_strength / runs;
  }
  return mean;
}

// Readings for 64 equal discs at 35 % ink by another program, to +-0.03 of one layout each: chance
// layouts differ more than that from draw to draw, so means of several stand against wider bounds.
TEST(SpacingQuality, ReadsStrewnByChanceAsTheReferenceDoes) {
  const SpacingQuality q = mean_of(6, [](ScatterRandom& r) { return by_chance(64, kSide, r); });
  EXPECT_NEAR(q.nearest_cv, 0.46, 0.12);
  EXPECT_NEAR(q.relative_radius, 0.11, 0.06);
  EXPECT_NEAR(q.corridor_share, 0.20, 0.12);
  EXPECT_NEAR(q.profile_variation, 0.48, 0.06);
  EXPECT_NEAR(q.empty_radii, 3.8, 0.6);
}

TEST(SpacingQuality, ReadsLatticesAsTheReferenceDoes) {
  const SpacingQuality block = mean_of(1, [](ScatterRandom& r) { return lattice(0.0, 0.0, r); });
  EXPECT_NEAR(block.nearest_cv, 0.0, 1e-9);
  EXPECT_NEAR(block.relative_radius, 0.93, 0.005);
  EXPECT_NEAR(block.corridor_share, 1.00, 0.005);
  EXPECT_NEAR(block.profile_variation, 0.79, 0.02);
  EXPECT_NEAR(block.empty_radii, 1.11, 0.03);
  EXPECT_NEAR(block.row_strength, 1.0, 1e-9);
  const SpacingQuality half = mean_of(1, [](ScatterRandom& r) { return lattice(0.5, 0.0, r); });
  EXPECT_NEAR(half.nearest_cv, 0.0, 1e-9);
  EXPECT_NEAR(half.relative_radius, 0.93, 0.005);
  EXPECT_NEAR(half.corridor_share, 1.00, 0.005);
  EXPECT_NEAR(half.profile_variation, 0.79, 0.02);
  EXPECT_NEAR(half.empty_radii, 0.86, 0.03);
}

TEST(SpacingQuality, ReadsAJitteredLatticeAsTheReferenceDoes) {
  const SpacingQuality q = mean_of(6, [](ScatterRandom& r) { return lattice(0.0, 0.1, r); });
  EXPECT_NEAR(q.nearest_cv, 0.10, 0.03);
  EXPECT_NEAR(q.relative_radius, 0.60, 0.08);
  EXPECT_NEAR(q.corridor_share, 0.61, 0.08);
  EXPECT_NEAR(q.profile_variation, 0.67, 0.03);
  EXPECT_NEAR(q.empty_radii, 1.40, 0.15);
}

// The reference has a relative radius of 0.72; thrown darts end near 0.68 with 64.
TEST(SpacingQuality, ReadsDartsKeptApartAsTheReferenceDoes) {
  const SpacingQuality q =
      mean_of(3, [](ScatterRandom& r) { return darts(0.68 * 1.0745699 * kPitch, r); });
  EXPECT_NEAR(q.nearest_cv, 0.08, 0.04);
  EXPECT_NEAR(q.relative_radius, 0.68, 0.03);
  EXPECT_NEAR(q.corridor_share, 0.0, 1e-9);
  EXPECT_NEAR(q.profile_variation, 0.29, 0.04);
  EXPECT_NEAR(q.empty_radii, 1.6, 0.3);
  EXPECT_LT(q.row_strength, 0.45);
}

// Poisson points: mean 1 / (2 sqrt(density)), CV sqrt(4 / pi - 1).
TEST(SpacingQuality, NearestNeighboursOfChanceFollowTheClosedForm) {
  ScatterRandom random(7);
  const SpacingQuality q = spacing_quality(torus(by_chance(1600, 500.0, random), 500.0, 0.1));
  EXPECT_NEAR(q.nearest_mean_mm, 0.5 * std::sqrt(500.0 * 500.0 / 1600.0), 0.2);
  EXPECT_NEAR(q.nearest_cv, 0.5227232, 0.02);
  EXPECT_NEAR(q.clark_evans, 1.0, 0.03);
}

TEST(SpacingQuality, ClarkEvansOfLattices) {
  SpacedPlane square{100.0, 100.0, true, true};
  for (int i = 0; i < 100; ++i) {
    square.shapes.push_back({{disc({i % 10 * 10.0 + 5.0, i / 10 * 10.0 + 5.0}, 2.0)}, 0});
  }
  EXPECT_NEAR(spacing_quality(square).clark_evans, 2.0, 1e-9);
  // Hexagonal, pitch 10: rows sqrt(3) / 2 of it apart (P. J. Clark, F. C. Evans, 1954: 2.1491).
  const double row = 10.0 * std::sqrt(3.0) / 2.0;
  SpacedPlane hexagonal{100.0, 10.0 * row, true, true};
  for (int i = 0; i < 100; ++i) {
    const double shift = i / 10 % 2 == 1 ? 5.0 : 0.0;
    hexagonal.shapes.push_back(
        {{disc({i % 10 * 10.0 + 2.5 + shift, (i / 10 + 0.5) * row}, 3.0, 360)}, 0});
  }
  const SpacingQuality q = spacing_quality(hexagonal);
  EXPECT_NEAR(q.clark_evans, 2.1491399, 1e-6);
  EXPECT_NEAR(q.relative_radius, 1.0, 1e-6);
  EXPECT_NEAR(q.nearest_cv, 0.0, 1e-6);
  // Discs of 0.6 of the pitch: bare stripes along the three close rows.
  EXPECT_NEAR(q.corridor_mm, 10.0 * (std::sqrt(3.0) / 2.0 - 0.6), 0.01);
}

// Discs of diameter 0.6 a on a block of pitch a: 0.4 a along the rows, a / sqrt(2) - 0.6 a at 45
// degrees, which is all that is left when the rows are closed by thin bars.
TEST(SpacingQuality, CorridorsOfABlockRepeatFollowTheClosedForm) {
  SpacedPlane plane{160.0, 160.0, true, true};
  for (int i = 0; i < 256; ++i) {
    plane.shapes.push_back({{disc({i % 16 * 10.0 + 5.0, i / 16 * 10.0 + 5.0}, 3.0, 360)}, 0});
  }
  const SpacingQuality rows = spacing_quality(plane);
  EXPECT_NEAR(rows.corridor_mm, 4.0, 0.01);
  EXPECT_NEAR(std::fmod(rows.corridor_deg, 90.0), 0.0, 1e-9);
  EXPECT_NEAR(rows.corridor_share, 1.0, 0.001);
  // Seen from 45 degrees: the same lattice turned, its steepest rows blocked by one bar each way.
  plane.shapes.push_back({ring_of(Box{{79.9, 0.0}, {80.1, 160.0}}), 1});
  plane.shapes.push_back({ring_of(Box{{0.0, 79.9}, {160.0, 80.1}}), 1});
  const SpacingQuality barred = spacing_quality(plane);
  EXPECT_LT(barred.corridor_mm, 4.0);
}

TEST(SpacingQuality, GapsAreBetweenOutlinesAndAcrossTheSeam) {
  SpacedPlane plane{100.0, 50.0, true, false};
  plane.shapes.push_back({ring_of(Box{{-4.0, 20.0}, {6.0, 30.0}}), 1});
  plane.shapes.push_back({ring_of(Box{{85.0, 20.0}, {93.0, 30.0}}), 1});  // 3 mm over the seam
  plane.shapes.push_back({ring_of(Box{{13.0, 20.0}, {20.0, 30.0}}), 2});  // 7 mm from the first
  const SpacingQuality q = spacing_quality(plane);
  EXPECT_NEAR(q.smallest_gap_mm, 3.0, 1e-9);
  EXPECT_NEAR(q.median_gap_mm, 3.0, 1e-9);
  EXPECT_NEAR(q.same_neighbour_share, 2.0 / 3.0, 1e-9);
  EXPECT_NEAR(q.coverage, 250.0 / 5000.0, 1e-9);
}

TEST(SpacingQuality, ZonesAreNoPartOfTheFace) {
  SpacedPlane plane{100.0, 100.0, false, false};
  plane.shapes.push_back({ring_of(Box{{10.0, 10.0}, {20.0, 20.0}}), 0});
  plane.blocked.push_back(ring_of(Box{{0.0, 50.0}, {100.0, 100.0}}));
  const SpacingQuality q = spacing_quality(plane);
  EXPECT_NEAR(q.coverage, 0.02, 1e-3);
  EXPECT_NEAR(q.empty_mm, std::hypot(80.0, 30.0), 0.5);  // the corner of what is left
}

TEST(SpacingQuality, AnEmptyFaceHasNothingToMeasure) {
  const SpacingQuality q = spacing_quality({100.0, 100.0, true, false});
  EXPECT_EQ(q.coverage, 0.0);
  EXPECT_EQ(q.corridor_mm, 0.0);
}

}  // namespace
}  // namespace underdraw
