#include "piece/profile.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;

TurnedFace ball_readings(double radius, int count, bool along_wall, double from, double to) {
  TurnedFace wall;
  wall.along_wall = along_wall;
  for (int i = 0; i <= count; ++i) {
    const double turn = from + (to - from) * i / count;
    const double at =
        along_wall ? radius * (turn - from) : radius * (std::cos(from) - std::cos(turn));
    wall.readings.push_back({at, 2.0 * kPi * radius * std::sin(turn)});
  }
  wall.readings.front().at_mm = 0.0;
  return wall;
}

// Lateral area of a frustum is slant * (C1 + C2) / 2: any handbook.
TEST(Profile, AStraightWallHasTheAreaOfAFrustum) {
  const Profile cone = Profile::straight(30.0, 40.0, 95.5248659);
  EXPECT_NEAR(
      cone.area_mm2(0.0, 95.5248659), 95.5248659 * (2 * kPi * 30.0 + 2 * kPi * 40.0) / 2.0, 1e-6);
  EXPECT_NEAR(cone.height_mm(95.5248659), 95.0, 1e-6);  // d 60 and 80, h 95
  EXPECT_NEAR(cone.slope(10.0), 10.0 / 95.5248659, 1e-12);
  const Profile tube = Profile::straight(50.0, 50.0, 120.0);
  EXPECT_NEAR(tube.area_mm2(0.0, 120.0), 2 * kPi * 50.0 * 120.0, 1e-6);
}

// 4 pi R², and Archimedes: a zone of height h has the area 2 pi R h.
TEST(Profile, ABallHasItsAreaAndItsZonesTheirs) {
  constexpr double kRadius = 50.0;
  const Profile ball = Profile::ball(kRadius);
  EXPECT_NEAR(ball.length_mm(), kPi * kRadius, 1e-9);
  EXPECT_NEAR(ball.area_mm2(0.0, ball.length_mm()) / (4 * kPi * kRadius * kRadius), 1.0, 1e-9);
  EXPECT_NEAR(ball.height_mm(ball.length_mm()), 2.0 * kRadius, 1e-6);
  for (double low = 3.0; low < 140.0; low += 17.3) {
    const double high = low + 13.7;
    const double zone = ball.height_mm(high) - ball.height_mm(low);
    EXPECT_NEAR(zone, kRadius * (std::cos(low / kRadius) - std::cos(high / kRadius)), 1e-6);
    EXPECT_NEAR(ball.area_mm2(low, high), 2 * kPi * kRadius * zone, 1e-3) << low;
  }
}

// w(t) = (2 pi R / N) cos(t / R): the widths of one of twelve gores, R = 50, by tape distance from
// the widest level. Derived from the formula of planetcalc.com, "Unfolding a 3D sphere to 2D
// shapes".
TEST(Profile, ABallIsAsWideAsItsGoresTogether) {
  const Profile ball = Profile::ball(50.0);
  const double middle = ball.length_mm() / 2.0;
  const std::pair<double, double> gores[] = {{0.0, 26.1799388},
                                             {13.0899694, 25.2878790},
                                             {26.1799388, 22.6724921},
                                             {39.2699082, 18.5120122},
                                             {52.3598776, 13.0899694},
                                             {65.4498469, 6.7758668}};
  for (const auto& [t, width] : gores) {
    EXPECT_NEAR(2 * kPi * ball.radius_mm(middle + t) / 12.0, width, 1e-6) << t;
    EXPECT_NEAR(2 * kPi * ball.radius_mm(middle - t) / 12.0, width, 1e-6) << t;
  }
}

TEST(Profile, AnArcBulgesOrHollowsByItsRadius) {
  const Profile bulge = Profile::arc(80.0, 60.0, 70.0);
  EXPECT_NEAR(bulge.radius_mm(35.0), 80.0, 1e-9);
  EXPECT_NEAR(bulge.radius_mm(0.0), 80.0 - 60.0 * (1.0 - std::cos(35.0 / 60.0)), 1e-7);
  EXPECT_NEAR(bulge.height_mm(70.0), 2.0 * 60.0 * std::sin(35.0 / 60.0), 1e-6);  // the chord
  const Profile hollow = Profile::arc(80.0, -60.0, 70.0);
  EXPECT_NEAR(hollow.radius_mm(70.0), 80.0 + 60.0 * (1.0 - std::cos(35.0 / 60.0)), 1e-7);
}

// Each straight piece is a frustum of its own.
TEST(Profile, TurnedOfStraightPiecesIsStackedCones) {
  TurnedFace wall{{{0, 310}, {40, 372}, {95, 300}, {120, 300}}, false, true};
  const Profile turned = Profile::turned(wall, 1.0);
  double s = 0.0;
  for (std::size_t i = 1; i < wall.readings.size(); ++i) {
    const double r0 = wall.readings[i - 1].circumference_mm / (2 * kPi);
    const double r1 = wall.readings[i].circumference_mm / (2 * kPi);
    const double rise = wall.readings[i].at_mm - wall.readings[i - 1].at_mm;
    const double slant = std::hypot(rise, r1 - r0);
    const Profile cone = Profile::straight(r0, r1, slant);
    EXPECT_NEAR(turned.area_mm2(s, s + slant), cone.area_mm2(0.0, slant), 1e-6);
    for (const double share : {0.001, 0.3, 0.7, 0.999}) {
      EXPECT_NEAR(turned.radius_mm(s + share * slant), cone.radius_mm(share * slant), 1e-9);
      EXPECT_NEAR(turned.slope(s + share * slant), cone.slope(share * slant), 1e-9);
      EXPECT_NEAR(
          turned.height_mm(s + share * slant), wall.readings[i - 1].at_mm + share * rise, 1e-9);
    }
    s += slant;
  }
  EXPECT_NEAR(turned.length_mm(), s, 1e-9);
}

// n bands of equal latitude, inscribed: area and meridian too short by these percentages; the
// meridian's is sin(x) / x - 1 with x = pi / 2n. Zone method, derived in double precision.
TEST(Profile, StackedConesMissABallByWhatTheZoneMethodSays) {
  struct Row {
    int bands;
    double area_percent, meridian_percent;
  };
  for (const Row& row : {Row{4, -7.612047, -2.550464},
                         Row{8, -1.921472, -0.641315},
                         Row{16, -0.481527, -0.160561}}) {
    TurnedFace wall = ball_readings(50.0, row.bands, false, 0.0, kPi);
    wall.straight = true;
    const Profile cones = Profile::turned(wall, 1.0);
    EXPECT_NEAR(100 * (cones.length_mm() / (kPi * 50.0) - 1.0), row.meridian_percent, 1e-6);
    EXPECT_NEAR(100 * (cones.area_mm2(0.0, cones.length_mm()) / (4 * kPi * 2500.0) - 1.0),
                row.area_percent,
                1e-6);
  }
}

// Readings taken on a ball, between 30 degrees from either pole.
TEST(Profile, ABallMeasuredAsTurnedIsThatBall) {
  constexpr double kRadius = 60.0;
  const double from = kPi / 6.0, to = kPi - kPi / 6.0;
  const Profile ball = Profile::ball(kRadius);
  for (const bool along_wall : {true, false}) {
    const Profile turned = Profile::turned(ball_readings(kRadius, 16, along_wall, from, to), 1.0);
    EXPECT_NEAR(turned.length_mm(), kRadius * (to - from), 0.02) << along_wall;
    for (double s = 0.0; s < turned.length_mm(); s += 3.1) {
      EXPECT_NEAR(turned.radius_mm(s), ball.radius_mm(s + kRadius * from), 0.05) << s;
      EXPECT_NEAR(turned.height_mm(s),
                  ball.height_mm(s + kRadius * from) - ball.height_mm(kRadius * from),
                  0.1)
          << s;
    }
  }
}

TEST(Profile, GoesThroughEveryReadingAndNeverBeyondThem) {
  const TurnedFace wall{{{0, 200}, {10, 202}, {20, 300}, {60, 300}, {70, 180}, {110, 181}}};
  const Profile turned = Profile::turned(wall, 1.0);
  std::size_t piece = 1;
  double s = 0.0;
  for (; s <= turned.length_mm(); s += 0.05) {
    while (piece + 1 < wall.readings.size() &&
           turned.height_mm(s) > wall.readings[piece].at_mm + 1e-3) {
      EXPECT_NEAR(2 * kPi * turned.radius_mm(s), wall.readings[piece].circumference_mm, 1.0);
      ++piece;
    }
    const double c0 = wall.readings[piece - 1].circumference_mm;
    const double c1 = wall.readings[piece].circumference_mm;
    const double here = 2 * kPi * turned.radius_mm(s);
    EXPECT_GE(here, std::min(c0, c1) - 0.7) << s;  // the step past a reading
    EXPECT_LE(here, std::max(c0, c1) + 0.7) << s;
  }
  EXPECT_EQ(piece, wall.readings.size() - 1);
  EXPECT_NEAR(turned.height_mm(turned.length_mm()), 110.0, 1e-6);
}

TEST(Profile, HeightAndLengthFitThePlaneCurve) {
  const Profile turned = Profile::turned({{{0, 310}, {40, 372}, {95, 300}}}, 1.0);
  for (double s = 1.0; s + 0.02 < turned.length_mm(); s += 0.97) {
    const double dr = turned.radius_mm(s + 0.01) - turned.radius_mm(s - 0.01);
    const double dz = turned.height_mm(s + 0.01) - turned.height_mm(s - 0.01);
    EXPECT_NEAR(std::hypot(dr, dz) / 0.02, 1.0, 2e-5) << s;
    EXPECT_NEAR(turned.slope(s), dr / 0.02, 1e-4) << s;
  }
}

TEST(Profile, ScalesWithThePiece) {
  const TurnedFace wall{{{0, 310}, {40, 372}, {95, 300}}};
  const Profile one = Profile::turned(wall, 1.0);
  const Profile less = Profile::turned(wall, 0.9);
  EXPECT_NEAR(less.length_mm(), 0.9 * one.length_mm(), 1e-9);
  EXPECT_NEAR(less.radius_mm(27.0), 0.9 * one.radius_mm(30.0), 1e-9);
  EXPECT_NEAR(less.area_mm2(0, 50), 0.81 * one.area_mm2(0, 50 / 0.9), 1e-6);
}

TEST(Profile, RefusesReadingsThatAreNoWall) {
  const auto complaint = [](const TurnedFace& wall) {
    try {
      Profile::turned(wall, 1.0);
    } catch (const GeometryError& error) {
      return error.complaint().text();
    }
    return std::string();
  };
  EXPECT_NE(complaint({{{0, 300}}}).find("1 reading"), std::string::npos);
  EXPECT_NE(complaint({{{5, 300}, {40, 310}}}).find("begins at 5"), std::string::npos);
  EXPECT_NE(complaint({{{0, 300}, {40, 310}, {30, 320}}}).find("30 mm follows the one at 40"),
            std::string::npos);
  // 100 mm of circumference are 15.9 mm of radius, over 12 mm of tape.
  const std::string steep = complaint({{{0, 300}, {12, 400}}, true});
  EXPECT_NE(steep.find("15.9"), std::string::npos) << steep;
  EXPECT_NE(steep.find("12.0"), std::string::npos) << steep;
}

}  // namespace
}  // namespace underdraw
