#include "trace/settle_knots.h"

#include <algorithm>

#include <gtest/gtest.h>

namespace underdraw {
namespace {

constexpr double kStep = 0.085;  // mm between points, a pixel at 300 per inch

double heading(Vec2 v) { return std::atan2(v.y, v.x); }

// Smooth knots with the directions and reaches of pieces that join without a kink.
KnotLine line_of(const std::vector<Cubic>& pieces) {
  KnotLine line;
  for (std::size_t i = 0; i <= pieces.size(); ++i) {
    const Cubic& after = pieces[std::min(i, pieces.size() - 1)];
    const Cubic& before = pieces[i == 0 ? 0 : i - 1];
    Knot knot;
    knot.at = i < pieces.size() ? after.p0 : before.p3;
    const Vec2 out = after.p1 - after.p0;
    const Vec2 in = before.p3 - before.p2;
    knot.angle_out = heading(i < pieces.size() ? out : in);
    knot.angle_in = heading(i > 0 ? in : out);
    knot.reach_out = length(out);
    knot.reach_in = length(in);
    line.knots.push_back(knot);
  }
  return line;
}

// Gives each point the nearest place on the line as its foot.
void find_feet(const KnotLine& line, std::vector<FitPoint>& points) {
  for (FitPoint& p : points) {
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t piece = 0; piece < line.piece_count(); ++piece) {
      for (int k = 0; k <= 200; ++k) {
        const double t = k / 200.0;
        const double d = distance(line.piece(piece).at(t), p.at);
        if (d < nearest) {
          nearest = d;
          p.piece = piece;
          p.t = t;
        }
      }
    }
  }
}

std::vector<FitPoint> points_on(const std::vector<Cubic>& pieces) {
  std::vector<FitPoint> out;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    Path path;
    path.points = {pieces[i].p0, pieces[i].p1, pieces[i].p2, pieces[i].p3};
    const std::vector<Vec2> along = sample(path, kStep);
    for (std::size_t k = i == 0 ? 0 : 1; k < along.size(); ++k) out.push_back({.at = along[k]});
  }
  return out;
}

// The ends of the list are the ends of the line.
void hold_ends(const KnotLine& line, std::vector<FitPoint>& points) {
  points.front().holds_knot = true;
  points.front().piece = 0;
  points.front().t = 0.0;
  points.back().holds_knot = true;
  points.back().piece = line.piece_count() - 1;
  points.back().t = 1.0;
}

double farthest_off(const KnotLine& line, const std::vector<FitPoint>& points) {
  double most = 0.0;
  for (const FitPoint& p : points) {
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t piece = 0; piece < line.piece_count(); ++piece) {
      const Cubic c = line.piece(piece);
      for (int k = 0; k < 2000; ++k) {
        // Distance to the chord, for the steps are longer than what is asked.
        const Vec2 a = c.at(k / 2000.0);
        const Vec2 way = c.at((k + 1) / 2000.0) - a;
        const double share = std::clamp(dot(p.at - a, way) / dot(way, way), 0.0, 1.0);
        nearest = std::min(nearest, distance(p.at, a + way * share));
      }
    }
    most = std::max(most, nearest);
  }
  return most;
}

bool is_finite(const KnotLine& line) {
  return std::all_of(line.knots.begin(), line.knots.end(), [](const Knot& k) {
    return std::isfinite(k.at.x) && std::isfinite(k.at.y) && std::isfinite(k.angle_in) &&
           std::isfinite(k.angle_out) && std::isfinite(k.reach_in) && std::isfinite(k.reach_out);
  });
}

// A straight line along x with knots at equal steps.
KnotLine straight_line(double long_mm, std::size_t pieces) {
  std::vector<Cubic> list;
  const double step = long_mm / static_cast<double>(pieces);
  for (std::size_t i = 0; i < pieces; ++i) {
    const double x = step * static_cast<double>(i);
    list.push_back({{x, 0}, {x + step / 3.0, 0}, {x + step * 2.0 / 3.0, 0}, {x + step, 0}});
  }
  return line_of(list);
}

const Cubic kKelp{{0.0, 0.0}, {2.0, 3.0}, {5.0, 3.5}, {8.0, 0.5}};
const Cubic kFeather{{1.0, 2.0}, {4.0, 5.0}, {5.0, -2.0}, {9.0, 1.0}};

TEST(SettleKnots, TwoPiecesBegunALittleOffComeToLieOnTheCubicThatThePointsAreOf) {
  for (const Cubic& truth : {kKelp, kFeather}) {
    const CubicPair halves = split(truth, 0.45);
    const std::vector<Cubic> pieces{halves.before, halves.after};
    std::vector<FitPoint> points = points_on(pieces);
    KnotLine line = line_of(pieces);
    double sign = 1.0;
    for (Knot& knot : line.knots) {
      knot.at += Vec2{0.03, -0.04} * sign;
      knot.angle_in += 0.04 * sign;
      knot.angle_out += 0.04 * sign;
      knot.reach_in *= 1.08;
      knot.reach_out *= 0.93;
      sign = -sign;
    }
    find_feet(line, points);
    hold_ends(line, points);
    ASSERT_GT(farthest_off(line, points), 0.03);
    settle_knots(line, points, {.rounds = 12, .outlier = 0.02});
    EXPECT_LT(farthest_off(line, points), 1e-3);
    EXPECT_LT(distance(line.knots.front().at, truth.p0), 1e-3);
    EXPECT_LT(distance(line.knots.back().at, truth.p3), 1e-3);
  }
}

TEST(SettleKnots, ACornerSettlesWhereItsArmsCross) {
  for (const double opening_deg : {40.0, 90.0, 130.0}) {
    const Vec2 corner{5.0, 3.0};
    const Vec2 back{-1.0, 0.0};
    const Vec2 ahead = Affine::turn_deg(opening_deg) * back;
    std::vector<FitPoint> points;
    // The last 0.2 mm before the corner are not measured.
    for (double s = 4.0; s > 0.2; s -= kStep) points.push_back({.at = corner + back * s});
    for (double s = 0.2; s < 4.0; s += kStep) points.push_back({.at = corner + ahead * s});
    KnotLine line = line_of({{corner + back * 4.0,
                              corner + back * 2.7,
                              corner + back * 1.3 + Vec2{0.08, -0.06},
                              corner + Vec2{0.08, -0.06}},
                             {corner + Vec2{0.08, -0.06},
                              corner + ahead * 1.3 + Vec2{0.08, -0.06},
                              corner + ahead * 2.7,
                              points.back().at}});
    line.knots[1].corner = true;
    find_feet(line, points);
    hold_ends(line, points);
    settle_knots(line, points, {.rounds = 12, .outlier = 0.02});
    EXPECT_LT(distance(line.knots[1].at, corner), 2e-3) << opening_deg << " deg";
    EXPECT_LT(farthest_off(line, points), 1e-3) << opening_deg << " deg";
  }
}

TEST(SettleKnots, RepeatedAndStraightPointsGiveFiniteKnots) {
  const std::size_t kinds = 4;
  for (std::size_t kind = 0; kind < kinds; ++kind) {
    std::vector<FitPoint> points;
    for (int i = 0; i <= 60; ++i) {
      const double x = i * 0.1;
      switch (kind) {
        case 0:
          points.push_back({.at = {x, 0.0}});
          break;
        case 1:  // each three times
          points.push_back({.at = {0.3 * (i / 3), 0.0}});
          break;
        case 2:  // all at one place
          points.push_back({.at = {3.0, 0.0}});
          break;
        default:  // of no weight
          points.push_back({.at = {x, 0.02}, .weight = 0.0});
      }
    }
    KnotLine line = straight_line(6.0, 3);
    find_feet(line, points);
    hold_ends(line, points);
    settle_knots(line, points, {});
    EXPECT_TRUE(is_finite(line)) << "kind " << kind;
    for (const FitPoint& p : points) EXPECT_TRUE(p.t >= 0.0 && p.t <= 1.0) << "kind " << kind;
  }
  // Knots that lie on one another, too.
  KnotLine line = straight_line(6.0, 2);
  for (Knot& knot : line.knots) knot = {.at = {1.0, 1.0}};
  std::vector<FitPoint> points(8, {.at = {1.0, 1.0}});
  hold_ends(line, points);
  settle_knots(line, points, {});
  EXPECT_TRUE(is_finite(line));
}

}  // namespace
}  // namespace underdraw
