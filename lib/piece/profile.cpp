#include "piece/profile.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kTwoPi = 2.0 * std::numbers::pi;
constexpr int kPerReading = 32;   // knots between two readings: height is integrated over them
constexpr int kPerQuarter = 180;  // knots a quarter turn of an arc
constexpr double kSteepest = 1.0 + 1e-9;

// Slopes of a cubic through readings that rises and falls only where they do.
std::vector<double> monotone_slopes(const std::vector<double>& x, const std::vector<double>& y) {
  const std::size_t n = x.size();
  std::vector<double> step(n - 1), rise(n - 1), slope(n, 0.0);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    step[i] = x[i + 1] - x[i];
    rise[i] = (y[i + 1] - y[i]) / step[i];
  }
  if (n == 2) return {rise[0], rise[0]};
  for (std::size_t i = 1; i + 1 < n; ++i) {
    if (rise[i - 1] * rise[i] <= 0.0) continue;
    // Of the parabola through three readings, held to what cannot overshoot.
    const double smooth = (step[i] * rise[i - 1] + step[i - 1] * rise[i]) / (step[i - 1] + step[i]);
    const double steepest = 3.0 * std::min(std::abs(rise[i - 1]), std::abs(rise[i]));
    slope[i] = std::copysign(std::min(std::abs(smooth), steepest), smooth);
  }
  const auto end = [](double near, double far, double h_near, double h_far) {
    const double outer = ((2.0 * h_near + h_far) * near - h_near * far) / (h_near + h_far);
    if (outer * near <= 0.0) return 0.0;
    if (near * far <= 0.0 && std::abs(outer) > 3.0 * std::abs(near)) return 3.0 * near;
    return outer;
  };
  slope[0] = end(rise[0], rise[1], step[0], step[1]);
  slope[n - 1] = end(rise[n - 2], rise[n - 3], step[n - 2], step[n - 3]);
  return slope;
}

struct CubicRise {
  double from, to, slope_from, slope_to, step;

  double at(double t) const {
    const double u = 1.0 - t;
    return from * u * u * (1.0 + 2.0 * t) + to * t * t * (3.0 - 2.0 * t) +
           step * (slope_from * t * u * u - slope_to * t * t * u);
  }
  double slope_at(double t) const {
    const double u = 1.0 - t;
    return 6.0 * t * u * (to - from) / step + slope_from * u * (u - 2.0 * t) +
           slope_to * t * (t - 2.0 * u);
  }
  // From the start, over the piece's own variable.
  double integral(double t) const {
    return t / 6.0 * step * (from + 4.0 * at(t / 2.0) + at(t));  // exact for a cubic
  }
};

double upward(double slope) { return std::sqrt(std::max(0.0, 1.0 - slope * slope)); }

[[noreturn]] void refuse(std::string found, std::string expected) {
  throw GeometryError({.file = {},
                       .line = {},
                       .found = std::move(found),
                       .expected = std::move(expected),
                       .remedy = "measure again"});
}

void check_readings(const TurnedFace& wall) {
  const auto& readings = wall.readings;
  if (readings.size() < 2) {
    refuse(fmt::format(
               "the profile has {} reading{}", readings.size(), readings.size() == 1 ? "" : "s"),
           "at least two, at the foot and at the rim");
  }
  if (readings.front().at_mm != 0.0) {
    refuse(fmt::format("the profile begins at {:g} mm", readings.front().at_mm), "0, the foot");
  }
  for (std::size_t i = 1; i < readings.size(); ++i) {
    const ProfileReading& low = readings[i - 1];
    const ProfileReading& high = readings[i];
    if (high.at_mm - low.at_mm < 0.1) {
      refuse(
          fmt::format(
              "the profile's reading at {:g} mm follows the one at {:g} mm", high.at_mm, low.at_mm),
          "readings from the foot upward");
    }
    const double wider = std::abs(high.circumference_mm - low.circumference_mm) / kTwoPi;
    if (wall.along_wall && wider > high.at_mm - low.at_mm) {
      refuse(fmt::format("between {:g} and {:g} mm along the wall the radius changes by {:.1f} mm, "
                         "which is more than the tape's {:.1f} mm",
                         low.at_mm,
                         high.at_mm,
                         wider,
                         high.at_mm - low.at_mm),
             "a tape length at least as long");
    }
  }
}

}  // namespace

Profile::Profile(std::vector<Knot> knots, Heights heights) : knots_(std::move(knots)) {
  for (std::size_t i = 0; i < knots_.size(); ++i) {
    Knot& knot = knots_[i];
    knot.slope = std::clamp(knot.slope, -1.0, 1.0);
    if (i == 0) {
      knot.height = knot.area = 0.0;
      continue;
    }
    const Knot& low = knots_[i - 1];
    const double step = knot.s - low.s;
    if (heights == Heights::from_slopes) {
      const double half = upward((low.slope + knot.slope) / 2.0);
      knot.height = low.height + step / 6.0 * (upward(low.slope) + 4.0 * half + upward(knot.slope));
    }
    knot.area = low.area;
    if (step > 0.0) {
      knot.area += CubicRise{low.radius, knot.radius, low.slope, knot.slope, step}.integral(1.0);
    }
  }
}

Profile Profile::straight(double foot_radius_mm, double rim_radius_mm, double slant_mm) {
  const double slope = (rim_radius_mm - foot_radius_mm) / slant_mm;
  if (std::abs(slope) > kSteepest) {
    refuse(fmt::format("the radius changes by {:.1f} mm over a wall {:.1f} mm long",
                       std::abs(rim_radius_mm - foot_radius_mm),
                       slant_mm),
           "a wall at least as long");
  }
  return Profile(
      {{0.0, foot_radius_mm, slope, 0.0, 0.0}, {slant_mm, rim_radius_mm, slope, 0.0, 0.0}});
}

Profile Profile::ball(double radius_mm) {
  std::vector<Knot> knots;
  for (int i = 0; i <= 2 * kPerQuarter; ++i) {
    const double turn = std::numbers::pi * i / (2.0 * kPerQuarter);
    const double sine = std::sin(turn / 2.0);
    knots.push_back({radius_mm * turn,
                     radius_mm * std::sin(turn),
                     std::cos(turn),
                     2.0 * radius_mm * sine * sine,
                     0.0});
  }
  return Profile(std::move(knots), Heights::given);
}

Profile Profile::arc(double middle_mm, double arc_mm, double length_mm) {
  const double bulge = arc_mm < 0.0 ? -1.0 : 1.0;
  const double radius = std::abs(arc_mm);
  const double half = length_mm / 2.0 / radius;
  const int count =
      2 + static_cast<int>(std::ceil(half / (std::numbers::pi / 2) * 2 * kPerQuarter));
  std::vector<Knot> knots;
  for (int i = 0; i <= count; ++i) {
    const double turn = half * (2.0 * i / count - 1.0);
    const double sine = std::sin(turn / 2.0);  // 1 - cos without its rounding
    knots.push_back({length_mm * i / count,
                     middle_mm - bulge * radius * 2.0 * sine * sine,
                     -bulge * std::sin(turn),
                     radius * (std::sin(half) + std::sin(turn)),
                     0.0});
  }
  return Profile(std::move(knots), Heights::given);
}

Profile Profile::turned(const TurnedFace& wall, double factor) {
  check_readings(wall);
  std::vector<double> at, radius;
  for (const ProfileReading& reading : wall.readings) {
    at.push_back(reading.at_mm * factor);
    radius.push_back(reading.circumference_mm * factor / kTwoPi);
  }
  const std::vector<double> smooth = monotone_slopes(at, radius);
  std::vector<Knot> knots;
  double s = 0.0;
  for (std::size_t i = 0; i + 1 < at.size(); ++i) {
    const double step = at[i + 1] - at[i];
    const double mean = (radius[i + 1] - radius[i]) / step;
    const CubicRise rise{radius[i],
                         radius[i + 1],
                         wall.straight ? mean : smooth[i],
                         wall.straight ? mean : smooth[i + 1],
                         step};
    const auto wall_per_step = [&](double t) { return std::hypot(1.0, rise.slope_at(t)); };
    for (int k = 0; k <= kPerReading; ++k) {
      if (k == 0 && i > 0 && !wall.straight) continue;  // the piece before ended with this knot
      const double t = static_cast<double>(k) / kPerReading;
      const double slope = rise.slope_at(t);
      if (wall.along_wall) {
        if (std::abs(slope) > kSteepest) {
          refuse(fmt::format("near {:.0f} mm along the wall the radius would change by {:.2f} mm a "
                             "mm",
                             (at[i] + t * step) / factor,
                             std::abs(slope)),
                 "at most 1; add readings there");
        }
        knots.push_back({at[i] + t * step, rise.at(t), slope, 0.0, 0.0});
        continue;
      }
      if (k > 0) {
        const double h = 1.0 / kPerReading;
        s += h * step / 6.0 *
             (wall_per_step(t - h) + 4.0 * wall_per_step(t - h / 2.0) + wall_per_step(t));
      }
      knots.push_back({s, rise.at(t), slope / std::hypot(1.0, slope), at[i] + t * step, 0.0});
    }
  }
  return Profile(std::move(knots), wall.along_wall ? Heights::from_slopes : Heights::given);
}

std::size_t Profile::piece_of(double s) const {
  const auto above = std::upper_bound(
      knots_.begin() + 1, knots_.end() - 1, s, [](double v, const Knot& k) { return v < k.s; });
  return static_cast<std::size_t>(above - knots_.begin()) - 1;
}

double Profile::radius_mm(double s) const {
  s = std::clamp(s, 0.0, length_mm());
  const Knot& a = knots_[piece_of(s)];
  const Knot& b = knots_[piece_of(s) + 1];
  const double step = b.s - a.s;
  return CubicRise{a.radius, b.radius, a.slope, b.slope, step}.at((s - a.s) / step);
}

double Profile::slope(double s) const {
  s = std::clamp(s, 0.0, length_mm());
  const Knot& a = knots_[piece_of(s)];
  const Knot& b = knots_[piece_of(s) + 1];
  const double step = b.s - a.s;
  const double slope =
      CubicRise{a.radius, b.radius, a.slope, b.slope, step}.slope_at((s - a.s) / step);
  return std::clamp(slope, -1.0, 1.0);
}

double Profile::height_mm(double s) const {
  s = std::clamp(s, 0.0, length_mm());
  const Knot& a = knots_[piece_of(s)];
  const Knot& b = knots_[piece_of(s) + 1];
  const double step = b.s - a.s;
  return CubicRise{a.height, b.height, upward(a.slope), upward(b.slope), step}.at((s - a.s) / step);
}

double Profile::area_mm2(double s_from, double s_to) const {
  const auto below = [&](double s) {
    s = std::clamp(s, 0.0, length_mm());
    const Knot& a = knots_[piece_of(s)];
    const Knot& b = knots_[piece_of(s) + 1];
    const double step = b.s - a.s;
    const CubicRise rise{a.radius, b.radius, a.slope, b.slope, step};
    return a.area + rise.integral((s - a.s) / step);
  };
  return kTwoPi * (below(s_to) - below(s_from));
}

double Profile::widest_mm() const {
  double widest = 0.0;
  for (const Knot& knot : knots_) widest = std::max(widest, knot.radius);
  return widest;
}

}  // namespace underdraw
