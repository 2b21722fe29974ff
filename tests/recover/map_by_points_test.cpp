// Spots as a hand taps them: places on the bird, known in both photos from rays, a few px off.
#include "recover/map_by_points.h"

#include <gtest/gtest.h>

#include "core/error.h"
#include "support/photo_scene.h"
#include "support/seeded.h"

namespace underdraw {
namespace {

const cv::Size kSize(2000, 1500);

Vec2 flat_after(Vec2 p) {
  const double w = 1.0 + 4e-5 * p.x - 2e-5 * p.y;
  return {(0.97 * p.x - 0.06 * p.y + 40.0) / w, (0.05 * p.x + 1.02 * p.y - 30.0) / w};
}

std::vector<SpotPair> tapped(std::size_t count, double off_px, const auto& after_of) {
  test::Dice dice(5);
  std::vector<SpotPair> out;
  for (std::size_t i = 0; i < count; ++i) {
    // The corners first, then anywhere.
    const Vec2 at = i < 4 ? Vec2{i % 2 ? 1700.0 : 300.0, i / 2 ? 1200.0 : 300.0}
                          : Vec2{dice.uniform(400, 1600), dice.uniform(400, 1100)};
    const Vec2 miss{dice.uniform(-off_px, off_px), dice.uniform(-off_px, off_px)};
    out.push_back({at, after_of(at) + miss});
  }
  return out;
}

TEST(MapByPoints, FourExactPointsOfAFlatThingTellAll) {
  const PointsView view = map_by_points(tapped(4, 0.0, flat_after), kSize, kSize);
  EXPECT_LT(distance(view.map.after_from_before({1000, 700}), flat_after({1000, 700})), 1e-3);
  EXPECT_TRUE(view.left_out_px.empty());
  EXPECT_TRUE(view.map.trusts({1000, 700}));
  EXPECT_FALSE(view.map.trusts({100, 700}));  // beside the points
}

TEST(MapByPoints, MorePointsEvenOutUnsteadyFingers) {
  const PointsView view = map_by_points(tapped(24, 6.0, flat_after), kSize, kSize);
  EXPECT_LT(distance(view.map.after_from_before({1000, 700}), flat_after({1000, 700})), 4.0);
  EXPECT_EQ(view.left_out_px.size(), 24u);
  EXPECT_GT(view.left_out_median_px, 1.0);
  EXPECT_LT(view.left_out_median_px, 8.0);
  EXPECT_TRUE(view.doubtful.empty());
}

TEST(MapByPoints, BendsForAWallThatIsRound) {
  const auto round_after = [](Vec2 p) {
    const double x = (p.x - 1000.0) / 700.0;
    return flat_after(p) + Vec2{30.0 * (1.0 - x * x), 0.0};
  };
  const std::vector<SpotPair> points = tapped(20, 1.0, round_after);
  const PointsView view = map_by_points(points, kSize, kSize);
  for (const Vec2 p : {Vec2{1000, 700}, Vec2{700, 900}, Vec2{1300, 500}}) {
    EXPECT_LT(distance(view.map.after_from_before(p), round_after(p)), 3.0);
  }
  EXPECT_LT(view.left_out_median_px, 4.0);
  EXPECT_TRUE(view.doubtful.empty());
}

TEST(MapByPoints, NamesThePointThatWasMistapped) {
  std::vector<SpotPair> points = tapped(12, 2.0, flat_after);
  points[7].after += Vec2{90.0, -60.0};
  const PointsView view = map_by_points(points, kSize, kSize);
  EXPECT_EQ(view.doubtful, std::vector<std::size_t>{7});
}

TEST(MapByPoints, RefusesTooFewPointsPointsOnALineAndMirrorImages) {
  EXPECT_THROW(map_by_points(tapped(3, 0.0, flat_after), kSize, kSize), InputError);
  std::vector<SpotPair> line;
  for (double x = 100.0; x < 600.0; x += 100.0) line.push_back({{x, 2.0 * x}, {x + 5.0, 2.0 * x}});
  EXPECT_THROW(map_by_points(line, kSize, kSize), InputError);
  const auto mirrored = [](Vec2 p) { return Vec2{2000.0 - p.x, p.y}; };
  EXPECT_THROW(map_by_points(tapped(6, 0.0, mirrored), kSize, kSize), InputError);
}

}  // namespace
}  // namespace underdraw
