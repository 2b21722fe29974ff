#include "geometry/outline.h"

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

Linework drawn(const std::vector<Path>& paths, double width_mm) {
  Linework lines;
  for (const Path& path : paths) lines.strokes.push_back({path, width_mm});
  return lines;
}

Path circle(Vec2 centre, double radius) {
  std::vector<Vec2> corners;
  for (int i = 0; i < 720; ++i)
    corners.push_back(centre + Affine::turn_deg(i / 2.0) * Vec2{radius, 0});
  return Path::polyline(corners, true);
}

double winding_area(const Rings& rings) {  // shoelace: another way than the library's
  double sum = 0.0;
  for (const auto& ring : rings) sum += signed_area(ring);
  return sum;
}

// Share of a fine grid that lies inside, by crossing number: a second, slow opinion.
double area_by_counting(const Rings& rings, const Box& box, double step) {
  double cells = 0.0;
  for (double y = box.min.y + step / 2; y < box.max.y; y += step) {
    for (double x = box.min.x + step / 2; x < box.max.x; x += step) {
      bool inside = false;
      for (const auto& ring : rings) {
        for (std::size_t i = 0; i < ring.size(); ++i) {
          const Vec2 a = ring[i];
          const Vec2 b = ring[(i + 1) % ring.size()];
          if ((a.y > y) != (b.y > y) && x < a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y)) {
            inside = !inside;
          }
        }
      }
      cells += inside ? 1.0 : 0.0;
    }
  }
  return cells * step * step;
}

TEST(Silhouette, OfAStraightStrokeIsAStadium) {
  // L w + pi w²/4; the drawn arcs lie inside the true ones by at most the tolerance.
  const Rings rings = silhouette(drawn({Path::polyline({{3, 4}, {43, 34}})}, 6.0), {.close_mm = 0});
  ASSERT_EQ(rings.size(), 1U);
  EXPECT_NEAR(winding_area(rings), 50.0 * 6.0 + kPi * 36.0 / 4.0, kPi * 6.0 * 0.005);
}

TEST(Silhouette, OfADotIsADisc) {
  const Rings rings = silhouette(drawn({Path{{{5, 5}}, false}}, 3.0), {.close_mm = 0});
  ASSERT_EQ(rings.size(), 1U);
  EXPECT_NEAR(winding_area(rings), kPi * 9.0 / 4.0, kPi * 3.0 * 0.005);
}

TEST(Silhouette, FillsWhatALineSurrounds) {
  const Rings rings = silhouette(drawn({circle({20, 20}, 10)}, 1.0));
  ASSERT_EQ(rings.size(), 1U);
  EXPECT_NEAR(winding_area(rings), kPi * 10.5 * 10.5, 0.5);
  const Rings grid = silhouette(drawn({circle({20, 20}, 10), circle({20, 20}, 5)}, 1.0));
  EXPECT_EQ(grid.size(), 1U);
}

TEST(Silhouette, ClosesOpeningsUpToTwiceTheReachAndNoMore) {
  // Two strokes 4 mm apart at their edges.
  const auto pair =
      drawn({Path::polyline({{0, 0}, {40, 0}}), Path::polyline({{0, 5}, {40, 5}})}, 1.0);
  EXPECT_EQ(silhouette(pair, {.close_mm = 1.9}).size(), 2U);
  const Rings closed = silhouette(pair, {.close_mm = 2.1});
  ASSERT_EQ(closed.size(), 1U);
  // The slab between them less what a disc of 2.1 mm, leaning on both round ends, keeps open:
  // triangle of the three centres and sectors of the two ends, less the disc's sector.
  const double inset = std::sqrt(2.6 * 2.6 - 2.5 * 2.5);
  const double lean = std::asin(inset / 2.6);
  const double end = 2.5 * inset + 0.25 * (kPi - lean) - 2.1 * 2.1 * (kPi / 2 - lean);
  EXPECT_NEAR(winding_area(closed), 40.0 * 6.0 + 2.0 * end, 92.0 * 0.005);  // perimeter x tolerance
}

TEST(Silhouette, AreasCountAndTheirHolesAreFilled) {
  Linework lines;
  lines.areas.push_back({{Path::polyline({{0, 0}, {30, 0}, {30, 20}, {0, 20}}, true),
                          Path::polyline({{5, 5}, {5, 15}, {25, 15}, {25, 5}}, true)}});
  EXPECT_NEAR(winding_area(silhouette(lines, {.close_mm = 0})), 600.0, 1e-6);
}

TEST(Silhouette, CoversEveryLineOfATangledDrawing) {
  Path path;
  path.points = {{10, 10}};
  path.append({{10, 10}, {80, 0}, {0, 60}, {60, 50}});
  path.append({{60, 50}, {90, 40}, {10, 20}, {50, 5}});
  const Linework lines = drawn({path}, 0.8);
  const Rings rings = silhouette(lines);
  const Box box = lines.ink_box().grown(3);
  EXPECT_NEAR(winding_area(rings), area_by_counting(rings, box, 0.2), 0.005 * winding_area(rings));
  const Rings bare = silhouette(lines, {.close_mm = 0});
  EXPECT_GE(winding_area(rings), winding_area(bare));
  EXPECT_NEAR(covered_area(rings), winding_area(rings), 1e-3);
}

TEST(Silhouette, OfNothingIsNothing) { EXPECT_TRUE(silhouette({}).empty()); }

TEST(Silhouette, RefusesNonsense) {
  EXPECT_THROW(silhouette({}, {.close_mm = -1}), OptionError);
  EXPECT_THROW(silhouette(drawn({Path{{{std::nan(""), 0}}, false}}, 1.0)), GeometryError);
}

TEST(OutlinesGrown, ASquareGrowsByItsEdgesAndRoundCorners) {
  // a² + 4 a d + pi d² (Steiner).
  const Rings square = {{{0, 0}, {20, 0}, {20, 20}, {0, 20}}};
  EXPECT_NEAR(winding_area(outlines_grown(square, 3.0)), 400 + 240 + kPi * 9, 0.15);
  EXPECT_NEAR(winding_area(outlines_grown(square, -3.0)), 14.0 * 14.0, 1e-3);
  EXPECT_TRUE(outlines_grown(square, -10.5).empty());
}

TEST(OutlinesGrown, NeighboursThatTouchBecomeOne) {
  const Rings two = {{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{14, 0}, {24, 0}, {24, 10}, {14, 10}}};
  EXPECT_EQ(outlines_grown(two, 1.9).size(), 2U);
  EXPECT_EQ(outlines_grown(two, 2.1).size(), 1U);
}

TEST(CoveredArea, CountsAnOverlapOnceWhicheverWayTheRingsRun) {
  const std::vector<Vec2> a = {{0, 0}, {10, 0}, {10, 10}, {0, 10}};
  std::vector<Vec2> b = {{5, 0}, {15, 0}, {15, 10}, {5, 10}};
  EXPECT_NEAR(covered_area({a, b}), 150.0, 1e-6);
  const Rings mirrored = transformed(Rings{a, b}, Affine::mirror_x());
  EXPECT_NEAR(covered_area(mirrored), 150.0, 1e-6);
  EXPECT_GT(signed_area(mirrored[0]), 0.0);
}

}  // namespace
}  // namespace underdraw
