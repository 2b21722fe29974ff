#include "repeat/scatter.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include <gtest/gtest.h>

#include "core/error.h"
#include "repeat/scatter_random.h"
#include "repeat/spacing_quality.h"
#include "repeat/touching.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

// A lobed outline, `lobes` of them `depth` deep, about as large as its radius; stretched across.
Rings lobed(double radius, int lobes, double depth, double stretch = 1.0) {
  std::vector<Vec2> ring;
  for (int i = 0; i < 120; ++i) {
    const double a = 2.0 * kPi * i / 120;
    const double r = radius * (1.0 - depth / 2.0 + depth / 2.0 * std::cos(lobes * a));
    ring.push_back({stretch * r * std::cos(a), r * std::sin(a) / stretch});
  }
  return {ring};
}

std::vector<ScatterKind> six_kinds(double radius) {
  return {{lobed(radius, 3, 0.6)},
          {lobed(radius, 5, 0.5)},
          {lobed(radius, 2, 0.4, 1.4)},
          {lobed(radius, 4, 0.7)},
          {lobed(radius * 0.8, 1, 0.1, 1.7)},
          {lobed(radius * 0.8, 12, 0.1)}};
}

Surface surface_of_form(const FaceForm& form) {
  Face face;
  face.name = "wall";
  face.form = form;
  return surface_of(face);
}

const Surface& wall() {
  static const Surface kWall = surface_of_form(CylinderFace{372.0, 250.0});
  return kWall;
}

// Outlines as face points; on a round face across runs on over the seam.
Rings outline_on(const Surface& surface, const ScatterCopy& copy, const Rings& outline) {
  const Affine turn = Affine::turn_deg(copy.change.turn_deg);
  const Affine mirror = copy.change.mirrored ? Affine::mirror_x() : Affine{};
  const Affine paper = turn * mirror * Affine::scale(copy.change.scale);
  Rings out;
  for (const auto& ring : outline) {
    auto& laid = out.emplace_back();
    for (const Vec2 p : ring) {
      const FacePoint at = surface.laid(copy.at, paper * p);
      double across = at.across;
      if (surface.round()) {
        across = copy.at.across + std::remainder(across - copy.at.across, 360.0);
      }
      laid.push_back({across, at.along});
    }
  }
  return out;
}

std::vector<SpacedShape> shapes_of(const Surface& surface,
                                   const Scattering& made,
                                   const std::vector<ScatterKind>& kinds) {
  std::vector<SpacedShape> shapes;
  for (const ScatterCopy& copy : made.copies) {
    const auto kind = static_cast<std::size_t>(copy.kind);
    shapes.push_back({outline_on(surface, copy, kinds[kind].outline), copy.kind});
  }
  return shapes;
}

SpacingQuality quality_of(const Surface& surface,
                          const Scattering& made,
                          const std::vector<ScatterKind>& kinds,
                          double border_mm) {
  return spacing_quality(spaced_plane_of(surface, shapes_of(surface, made, kinds), {}, border_mm));
}

// Least distance between points of two outlines over the face, and 0 when they overlap. Not how the
// scatter itself measures: points only, 0.1 mm apart, by the way between them.
double least_gap(const Surface& surface, const std::vector<SpacedShape>& shapes) {
  std::vector<std::vector<FacePoint>> points(shapes.size());
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    for (const auto& ring : shapes[i].outline) {
      for (std::size_t k = 0; k < ring.size(); ++k) {
        const Vec2 a = ring[k], b = ring[(k + 1) % ring.size()];
        const Vec2 edge = surface.way({a.x, a.y}, {b.x, b.y});
        const int parts = std::max(1, static_cast<int>(length(edge) / 0.1));
        for (int t = 0; t < parts; ++t) {
          const Vec2 p = mix(a, b, static_cast<double>(t) / parts);
          points[i].push_back({p.x, p.y});
        }
      }
    }
  }
  double least = 1e300;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t j = i + 1; j < points.size(); ++j) {
      if (length(surface.way(points[i].front(), points[j].front())) > 60.0) continue;
      if (touching(shapes[i].outline, shapes[j].outline)) return 0.0;
      for (std::size_t k = 0; k < points[i].size(); k += 8) {
        for (std::size_t l = 0; l < points[j].size(); l += 8) {
          if (length(surface.way(points[i][k], points[j][l])) > least + 1.8) continue;
          for (std::size_t m = k; m < std::min(points[i].size(), k + 8); ++m) {
            for (std::size_t n = l; n < std::min(points[j].size(), l + 8); ++n) {
              least = std::min(least, length(surface.way(points[i][m], points[j][n])));
            }
          }
        }
      }
    }
  }
  return least;
}

TEST(Scatter, NeverBreaksTheGapOrTheEdgeOnAnyForm) {
  const std::vector<ScatterKind> kinds = six_kinds(12.0);
  const std::vector<FaceForm> forms = {
      FlatFace{180.0, 130.0, {}},
      CylinderFace{260.0, 110.0},
      ConeFace{200.0, 300.0, 100.0},
      RingFace{90.0, 200.0, 0.0},
      TurnedFace{{{0.0, 190.0}, {50.0, 270.0}, {110.0, 180.0}}, false, false},
      PatchFace{150.0, 120.0, 140.0, 114.0, false}};
  for (const FaceForm& form : forms) {
    const Surface surface = surface_of_form(form);
    ScatterOptions options;
    options.gap_mm = 2.5;
    options.edge_mm = 3.0;
    const Scattering made = scatter(surface, {}, kinds, options);
    EXPECT_GT(made.copies.size(), 20U) << name_of(form);
    const std::vector<SpacedShape> shapes = shapes_of(surface, made, kinds);
    // Bent paper is measured along slightly different ways.
    const double doubt = surface.developable() ? 1e-3 : 0.02;
    EXPECT_GE(least_gap(surface, shapes), 2.5 - doubt) << name_of(form);
    EXPECT_GE(made.report.smallest_gap_mm, 2.5) << name_of(form);
    for (const SpacedShape& shape : shapes) {
      for (const Vec2 p : shape.outline.front()) {
        EXPECT_GE(p.y, 3.0 - 1e-6) << name_of(form);
        EXPECT_LE(p.y, surface.along_mm() - 3.0 + 1e-6) << name_of(form);
        if (surface.round()) continue;
        EXPECT_GE(p.x, 3.0 - 1e-6) << name_of(form);
        EXPECT_LE(p.x, surface.width_mm(p.y) - 3.0 + 1e-6) << name_of(form);
      }
    }
  }
}

TEST(Scatter, ReachesItsGoalsOnAWallWithSixMotifs) {
  const std::vector<ScatterKind> kinds = six_kinds(12.0);
  ScatterOptions options;
  options.gap_mm = 3.0;
  for (const std::uint64_t seed : {1, 2}) {
    options.seed = seed;
    const Scattering made = scatter(wall(), {}, kinds, options);
    const SpacingQuality q = quality_of(wall(), made, kinds, options.edge_mm);
    EXPECT_EQ(q.corridor_mm, 0.0);
    EXPECT_LE(q.profile_variation, 0.30);
    EXPECT_LE(q.empty_radii, 1.3);
    EXPECT_EQ(q.same_neighbour_share, 0.0);
    EXPECT_EQ(made.report.same_neighbours, 0);
    EXPECT_LT(q.row_strength, 0.5);
    EXPECT_NEAR(q.coverage, made.report.coverage, 1e-3);
  }
}

TEST(Scatter, SpreadsLessInkOverTheWholeFace) {
  const std::vector<ScatterKind> kinds = six_kinds(12.0);
  ScatterOptions options;
  options.gap_mm = 2.0;
  for (const double coverage : {0.1, 0.3}) {
    options.coverage = coverage;
    const Scattering made = scatter(wall(), {}, kinds, options);
    EXPECT_NEAR(made.report.coverage, coverage, 0.01);
    EXPECT_EQ(made.report.left_out, 0);
    // Every quarter of the wall holds its share, and gaps widen with the room there is.
    int quarters[4] = {0, 0, 0, 0};
    for (const ScatterCopy& copy : made.copies) {
      ++quarters[(copy.at.across < 180.0 ? 0 : 1) + (copy.at.along < 125.0 ? 0 : 2)];
    }
    const double share = static_cast<double>(made.copies.size()) / 4.0;
    for (const int held : quarters) EXPECT_NEAR(held, share, 0.2 * share + 1.5);
    const SpacingQuality q = quality_of(wall(), made, kinds, options.edge_mm);
    EXPECT_GT(q.smallest_gap_mm, coverage < 0.2 ? 8.0 : 3.0);
    EXPECT_EQ(q.same_neighbour_share, 0.0);
  }
}

TEST(Scatter, KeepsClearOfZonesAlsoOverTheSeam) {
  const std::vector<ScatterKind> kinds = six_kinds(12.0);
  const std::vector<ScatterObstacle> zones = {{ring_of(Box{{350.0, 60.0}, {375.0, 190.0}}), 4.0},
                                              {ring_of(Box{{100.0, 0.0}, {140.0, 80.0}}), 1.0}};
  ScatterOptions options;
  options.gap_mm = 3.0;
  const Scattering made = scatter(wall(), zones, kinds, options);
  EXPECT_GT(made.copies.size(), 80U);
  bool over_seam = false;
  for (const SpacedShape& shape : shapes_of(wall(), made, kinds)) {
    for (const ScatterObstacle& zone : zones) {
      for (const double turn : {-360.0, 0.0, 360.0}) {
        Rings moved = zone.shape;
        for (Vec2& p : moved.front()) p.x += turn;
        EXPECT_FALSE(touching(shape.outline, moved));
        for (const Vec2 p : shape.outline.front()) {
          const Box box{{moved.front()[0].x, moved.front()[0].y},
                        {moved.front()[2].x, moved.front()[2].y}};
          const double dx =
              std::max({box.min.x - p.x, 0.0, p.x - box.max.x}) * wall().mm_per_across(p.y);
          const double dy = std::max({box.min.y - p.y, 0.0, p.y - box.max.y});
          EXPECT_GE(std::hypot(dx, dy), zone.clear_mm - 1e-3);
        }
      }
    }
    for (const Vec2 p : shape.outline.front()) over_seam = over_seam || p.x < 0.0 || p.x > 360.0;
  }
  EXPECT_TRUE(over_seam);
}

TEST(Scatter, SameSeedSameResultAndAnotherSeedAnother) {
  const std::vector<ScatterKind> kinds = six_kinds(14.0);
  const Surface small = surface_of_form(CylinderFace{200.0, 90.0});
  const auto places = [&](std::uint64_t seed) {
    ScatterOptions options;
    options.seed = seed;
    std::vector<std::pair<double, double>> out;
    for (const ScatterCopy& copy : scatter(small, {}, kinds, options).copies) {
      out.emplace_back(copy.at.across, copy.change.turn_deg);
    }
    return out;
  };
  EXPECT_EQ(places(5), places(5));
  EXPECT_NE(places(5), places(6));
}

TEST(Scatter, TurnsAndMirrorsOnlyAsAllowed) {
  std::vector<ScatterKind> kinds = six_kinds(13.0);
  for (ScatterKind& kind : kinds) kind.mirror = false;
  const Surface small = surface_of_form(CylinderFace{220.0, 100.0});
  for (const double limit : {0.0, 20.0}) {
    ScatterOptions options;
    options.turn_limit_deg = limit;
    const Scattering made = scatter(small, {}, kinds, options);
    EXPECT_GT(made.copies.size(), 15U);
    double most = 0.0;
    for (const ScatterCopy& copy : made.copies) {
      most = std::max(most, std::abs(copy.change.turn_deg));
      EXPECT_FALSE(copy.change.mirrored);
    }
    EXPECT_LE(most, limit + 1e-9);
    EXPECT_GE(most, 0.5 * limit);
  }
}

TEST(Scatter, KeepsSharesByWeightAndPutsSmallOnesBetweenBigOnes) {
  std::vector<ScatterKind> kinds = six_kinds(16.0);
  kinds[0].weight = 2.0;
  for (ScatterKind& kind : kinds) kind.scales = {1.0, 0.5};
  ScatterOptions options;
  options.gap_mm = 2.5;
  const Scattering made = scatter(wall(), {}, kinds, options);
  std::map<int, double> by_kind;
  double large = 0.0;
  for (const ScatterCopy& copy : made.copies) {
    ++by_kind[copy.kind];
    if (copy.change.scale == 1.0) ++large;
  }
  const double count = static_cast<double>(made.copies.size());
  EXPECT_NEAR(by_kind[0] / count, 2.0 / 7.0, 0.05);
  for (int k = 1; k < 6; ++k) EXPECT_NEAR(by_kind[k] / count, 1.0 / 7.0, 0.04);
  EXPECT_NEAR(large / count, 1.0 / 3.0, 0.08);  // ink of a size in proportion to its scale
  EXPECT_TRUE(
      std::is_sorted(made.copies.begin(), made.copies.end(), [](const auto& a, const auto& b) {
        return a.change.scale > b.change.scale;
      }));
}

// Equal discs lie densest in a hexagonal lattice, pi / sqrt(12) of the plane: no search passes
// that. Whole rows of it on this wall (16 discs 23.25 mm apart, rows as close as that allows) are
// what nine tenths are asked of.
TEST(Scatter, ComesNearTheDensestPackingOfDiscs) {
  std::vector<ScatterKind> kinds(1);
  kinds[0].outline = lobed(10.0, 1, 0.0);
  ScatterOptions options;
  options.gap_mm = 2.0;
  options.edge_mm = 1.0;
  const double pitch = 372.0 / 16.0;
  const double row = std::sqrt(22.0 * 22.0 - pitch * pitch / 4.0);
  const double reference = 16.0 * (1.0 + std::floor((250.0 - 2.0 - 20.0) / row));
  const double bound = 372.0 * 250.0 / (22.0 * 22.0 * std::sqrt(3.0) / 2.0);
  const double count = static_cast<double>(scatter(wall(), {}, kinds, options).copies.size());
  EXPECT_GE(count, 0.9 * reference);
  EXPECT_LE(count, bound);
}

TEST(Scatter, RefusesWhatCannotBeDone) {
  const std::vector<ScatterKind> kinds = six_kinds(12.0);
  ScatterOptions options;
  options.gap_mm = -1.0;
  EXPECT_THROW(scatter(wall(), {}, kinds, options), OptionError);
  options = {};
  options.coverage = 1.5;
  EXPECT_THROW(scatter(wall(), {}, kinds, options), OptionError);
  EXPECT_THROW(scatter(wall(), {}, {}, {}), OptionError);
  EXPECT_THROW(scatter(wall(), {}, six_kinds(200.0), {}), GeometryError);
}

TEST(Scatter, SaysWhenAskedForInkDoesNotFit) {
  const std::vector<ScatterKind> kinds = six_kinds(12.0);
  ScatterOptions options;
  options.gap_mm = 4.0;
  options.coverage = 0.8;
  const Surface small = surface_of_form(CylinderFace{220.0, 100.0});
  const Scattering made = scatter(small, {}, kinds, options);
  EXPECT_LT(made.report.coverage, 0.7);
  ASSERT_EQ(made.report.warnings.size(), 1U);
  EXPECT_NE(made.report.warnings.front().find("80 %"), std::string::npos);
  EXPECT_GE(made.report.smallest_gap_mm, 4.0);
}

}  // namespace
}  // namespace underdraw
