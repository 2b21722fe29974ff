#include "coats/lab_colour.h"

#include <cmath>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

struct Pair {
  LabColour one, other;
  double apart;
};

// Sharma, Wu, Dalal 2005, table 1, all 34: 9 to 16 lie about the break of the hue angle, 17 to 20
// are large differences, 33 and 34 nearly black.
constexpr Pair kPublished[] = {
    {{50.0000, 2.6772, -79.7751}, {50.0000, 0.0000, -82.7485}, 2.0425},
    {{50.0000, 3.1571, -77.2803}, {50.0000, 0.0000, -82.7485}, 2.8615},
    {{50.0000, 2.8361, -74.0200}, {50.0000, 0.0000, -82.7485}, 3.4412},
    {{50.0000, -1.3802, -84.2814}, {50.0000, 0.0000, -82.7485}, 1.0000},
    {{50.0000, -1.1848, -84.8006}, {50.0000, 0.0000, -82.7485}, 1.0000},
    {{50.0000, -0.9009, -85.5211}, {50.0000, 0.0000, -82.7485}, 1.0000},
    {{50.0000, 0.0000, 0.0000}, {50.0000, -1.0000, 2.0000}, 2.3669},
    {{50.0000, -1.0000, 2.0000}, {50.0000, 0.0000, 0.0000}, 2.3669},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0009}, 7.1792},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0010}, 7.1792},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0011}, 7.2195},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0012}, 7.2195},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0009, -2.4900}, 4.8045},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0010, -2.4900}, 4.8045},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0011, -2.4900}, 4.7461},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 0.0000, -2.5000}, 4.3065},
    {{50.0000, 2.5000, 0.0000}, {73.0000, 25.0000, -18.0000}, 27.1492},
    {{50.0000, 2.5000, 0.0000}, {61.0000, -5.0000, 29.0000}, 22.8977},
    {{50.0000, 2.5000, 0.0000}, {56.0000, -27.0000, -3.0000}, 31.9030},
    {{50.0000, 2.5000, 0.0000}, {58.0000, 24.0000, 15.0000}, 19.4535},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.1736, 0.5854}, 1.0000},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.2972, 0.0000}, 1.0000},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 1.8634, 0.5757}, 1.0000},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.2592, 0.3350}, 1.0000},
    {{60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644},
    {{63.0109, -31.0961, -5.8663}, {62.8187, -29.7946, -4.0864}, 1.2630},
    {{61.2901, 3.7196, -5.3901}, {61.4292, 2.2480, -4.9620}, 1.8731},
    {{35.0831, -44.1164, 3.7933}, {35.0232, -40.0716, 1.5901}, 1.8645},
    {{22.7233, 20.0904, -46.6940}, {23.0331, 14.9730, -42.5619}, 2.0373},
    {{36.4612, 47.8580, 18.3852}, {36.2715, 50.5065, 21.2231}, 1.4146},
    {{90.8027, -2.0831, 1.4410}, {91.1528, -1.6435, 0.0447}, 1.4441},
    {{90.9257, -0.5406, -0.9208}, {88.6381, -0.8985, -0.7239}, 1.5381},
    {{6.7747, -0.2908, -2.4247}, {5.8714, -0.0985, -2.2286}, 0.6377},
    {{2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082},
};

TEST(Ciede2000, IsThePublishedNumberForAllThirtyFourPairs) {
  ASSERT_EQ(std::size(kPublished), 34U);
  for (const Pair& pair : kPublished) {
    EXPECT_NEAR(ciede2000(pair.one, pair.other), pair.apart, 5.1e-5);  // printed to four digits
    EXPECT_NEAR(ciede2000(pair.other, pair.one), pair.apart, 5.1e-5);
    EXPECT_EQ(ciede2000(pair.one, pair.one), 0.0);
  }
}

// IEC 61966-2-1: the curve's two parts meet, and its ends are black and white.
TEST(LabColour, TonesBecomeLightAsTheStandardSays) {
  EXPECT_EQ(linear_from_srgb(0.0), 0.0);
  EXPECT_DOUBLE_EQ(linear_from_srgb(1.0), 1.0);
  EXPECT_NEAR(linear_from_srgb(0.04045), linear_from_srgb(0.0404501), 1e-6);
  EXPECT_NEAR(linear_from_srgb(0.5), 0.21404, 1e-5);  // ((0.5 + 0.055) / 1.055)^2.4 by hand
  EXPECT_EQ(light_of_tones()[128], linear_from_srgb(128.0 / 255.0));
}

TEST(LabColour, GreysHaveNoChromaAndWhiteIsAHundred) {
  for (const double light : {0.001, 0.02, 0.184187, 0.5, 1.0}) {
    EXPECT_NEAR(lab_from_linear({light, light, light}).chroma(), 0.0, 1e-9) << light;
  }
  EXPECT_NEAR(lab_from_linear({1, 1, 1}).l, 100.0, 1e-9);
  EXPECT_NEAR(lab_from_linear({0, 0, 0}).l, 0.0, 1e-9);
  // CIE 15: L* = 50 at Y = (66 / 116)^3.
  EXPECT_NEAR(lab_from_linear({0.184187, 0.184187, 0.184187}).l, 50.0, 1e-3);
}

// The primaries' values that textbooks print for sRGB under D65 (from memory, to 0.1).
TEST(LabColour, PrimariesAreWhereTheyBelong) {
  const auto expect_near = [](LabColour found, LabColour due) {
    EXPECT_NEAR(found.l, due.l, 0.1);
    EXPECT_NEAR(found.a, due.a, 0.1);
    EXPECT_NEAR(found.b, due.b, 0.1);
  };
  expect_near(lab_from_linear({1, 0, 0}), {53.24, 80.09, 67.20});
  expect_near(lab_from_linear({0, 1, 0}), {87.73, -86.18, 83.18});
  expect_near(lab_from_linear({0, 0, 1}), {32.30, 79.19, -107.86});
}

TEST(LabColour, AGlintMovesNeitherTheMedianNorTheSpread) {
  std::vector<LabColour> spot;
  for (int i = 0; i < 60; ++i) spot.push_back({40.0 + 0.05 * (i % 7 - 3), -20.0, 5.0});
  const LabColour clean = median_colour(spot);
  const double spread = colour_spread(spot, clean);
  for (int i = 0; i < 6; ++i) spot.push_back({100.0, 0.0, 0.0});
  EXPECT_LT(ciede2000(median_colour(spot), clean), 0.06);
  EXPECT_LT(colour_spread(spot, clean), spread + 0.06);
  EXPECT_GT(spread, 0.0);
}

TEST(LabColour, NoColoursHaveNoMedian) { EXPECT_THROW(median_colour({}), GeometryError); }

}  // namespace
}  // namespace underdraw
