#include "coats/lab_colour.h"

#include <algorithm>
#include <cmath>

#include "core/error.h"
#include "geometry/vec2.h"

namespace underdraw {
namespace {

// White of D65 by the matrix below, so that r = g = b has a* = b* = 0.
constexpr Xyz kWhite{0.4124 + 0.3576 + 0.1805, 1.0, 0.0193 + 0.1192 + 0.9505};

// CIE 15: (6/29)³, and the line below it.
constexpr double kCubeFrom = 216.0 / 24389.0;
constexpr double kLine = 24389.0 / 27.0;

double cube_root_or_line(double t) {
  return t > kCubeFrom ? std::cbrt(t) : (kLine * t + 16.0) / 116.0;
}

double hue_deg(double a, double b) {
  if (a == 0.0 && b == 0.0) return 0.0;
  const double h = degrees(std::atan2(b, a));
  return h < 0.0 ? h + 360.0 : h;
}

double to_the_seventh(double v) { return std::pow(v, 7.0); }

// sqrt(c⁷ / (c⁷ + 25⁷)).
double blue_share(double c) {
  return std::sqrt(to_the_seventh(c) / (to_the_seventh(c) + to_the_seventh(25.0)));
}

template <typename Get>
double median(const std::vector<LabColour>& colours, Get get) {
  std::vector<double> values;
  for (const LabColour& colour : colours) values.push_back(get(colour));
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

}  // namespace

double LinearRgb::luminance() const { return 0.2126 * r + 0.7152 * g + 0.0722 * b; }

double LabColour::chroma() const { return std::hypot(a, b); }

double linear_from_srgb(double tone) {
  return tone <= 0.04045 ? tone / 12.92 : std::pow((tone + 0.055) / 1.055, 2.4);
}

const std::array<double, 256>& light_of_tones() {
  static const std::array<double, 256> table = [] {
    std::array<double, 256> made{};
    for (std::size_t i = 0; i < made.size(); ++i) {
      made[i] = linear_from_srgb(static_cast<double>(i) / 255.0);
    }
    return made;
  }();
  return table;
}

Xyz xyz_from_linear(LinearRgb c) {
  return {0.4124 * c.r + 0.3576 * c.g + 0.1805 * c.b,
          c.luminance(),
          0.0193 * c.r + 0.1192 * c.g + 0.9505 * c.b};
}

LabColour lab_from_xyz(Xyz xyz) {
  const double x = cube_root_or_line(xyz.x / kWhite.x);
  const double y = cube_root_or_line(xyz.y / kWhite.y);
  const double z = cube_root_or_line(xyz.z / kWhite.z);
  return {116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

LabColour lab_from_linear(LinearRgb light) { return lab_from_xyz(xyz_from_linear(light)); }

// Numbers in brackets are those of the paper's equations.
double ciede2000(LabColour one, LabColour other) {
  const double g = 0.5 * (1.0 - blue_share(0.5 * (one.chroma() + other.chroma())));  // (3, 4)
  const double a1 = (1.0 + g) * one.a;                                               // (5)
  const double a2 = (1.0 + g) * other.a;
  const double c1 = std::hypot(a1, one.b);  // (6)
  const double c2 = std::hypot(a2, other.b);
  const double h1 = hue_deg(a1, one.b);  // (7)
  const double h2 = hue_deg(a2, other.b);
  const bool grey = c1 * c2 == 0.0;

  const double dl = other.l - one.l;  // (8)
  const double dc = c2 - c1;          // (9)
  double dh = 0.0;                    // (10)
  if (!grey) {
    dh = h2 - h1;
    if (dh > 180.0) dh -= 360.0;
    if (dh < -180.0) dh += 360.0;
  }
  const double dhue = 2.0 * std::sqrt(c1 * c2) * std::sin(radians(0.5 * dh));  // (11)

  const double l = 0.5 * (one.l + other.l);  // (12)
  const double c = 0.5 * (c1 + c2);          // (13)
  double h = h1 + h2;                        // (14)
  if (!grey) {
    if (std::abs(h1 - h2) > 180.0) h += h < 360.0 ? 360.0 : -360.0;
    h *= 0.5;
  }
  const double t = 1.0 - 0.17 * std::cos(radians(h - 30.0)) + 0.24 * std::cos(radians(2.0 * h)) +
                   0.32 * std::cos(radians(3.0 * h + 6.0)) -
                   0.20 * std::cos(radians(4.0 * h - 63.0));  // (15)
  const double off = (h - 275.0) / 25.0;                      // (16)
  const double turn = 30.0 * std::exp(-off * off);
  const double rc = 2.0 * blue_share(c);       // (17)
  const double mid = (l - 50.0) * (l - 50.0);  // (18)
  const double sl = 1.0 + 0.015 * mid / std::sqrt(20.0 + mid);
  const double sc = 1.0 + 0.045 * c;                      // (19)
  const double sh = 1.0 + 0.015 * c * t;                  // (20)
  const double rt = -std::sin(radians(2.0 * turn)) * rc;  // (21)
  const double el = dl / sl;
  const double ec = dc / sc;
  const double eh = dhue / sh;
  return std::sqrt(el * el + ec * ec + eh * eh + rt * ec * eh);  // (22)
}

LabColour median_colour(const std::vector<LabColour>& colours) {
  if (colours.empty()) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = "no colours to take the median of",
                         .expected = "one or more",
                         .remedy = {}});
  }
  return {median(colours, [](const LabColour& c) { return c.l; }),
          median(colours, [](const LabColour& c) { return c.a; }),
          median(colours, [](const LabColour& c) { return c.b; })};
}

double colour_spread(const std::vector<LabColour>& colours, LabColour middle) {
  if (colours.empty()) return 0.0;
  std::vector<double> off;
  for (const LabColour& colour : colours) off.push_back(ciede2000(middle, colour));
  const auto at = off.begin() + static_cast<std::ptrdiff_t>((2 * off.size()) / 3);
  std::nth_element(off.begin(), at, off.end());
  return *at;
}

}  // namespace underdraw
