#include "piece/creasing.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kLeastCurvature = 1e-12;  // 1/mm²: below this nothing on a bench is curved

// 1 - sin(x) / x, or 1 - sinh(x) / x, without its rounding.
double misfit_of(double x, bool saddle) {
  const double square = saddle ? -x * x : x * x;
  if (x < 0.05) return square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0));
  return 1.0 - (saddle ? std::sinh(x) : std::sin(x)) / x;
}

// Where a rising function first exceeds the limit, in (0, high].
double first_above(const std::function<double(double)>& rising, double limit, double high) {
  double low = 0.0;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2.0;
    (rising(middle) <= limit ? low : high) = middle;
  }
  return (low + high) / 2.0;
}

struct Misfit {
  double curvature, share;
};

// The worst of the disc and of the two smaller ones in its upper and lower half: a waist below a
// belly would cancel in the mean over both.
Misfit worst_misfit(const Surface& surface, FacePoint at, double radius) {
  const auto of_disc = [&](FacePoint middle, double reach) {
    const double curvature = surface.gaussian_curvature(middle, reach);
    return Misfit{curvature, disc_misfit(curvature, reach)};
  };
  Misfit worst = of_disc(at, radius);
  for (const double side : {-0.5, 0.5}) {
    FacePoint half = at;
    // Along the wall; on a patch that may run from left to right.
    if (surface.axis_across()) {
      half.across = std::clamp(at.across + side * radius, 0.0, surface.width_mm(at.along));
    } else {
      half.along = std::clamp(at.along + side * radius, 0.0, surface.along_mm());
    }
    const Misfit misfit = of_disc(half, radius / 2.0);
    if (std::abs(misfit.share) > std::abs(worst.share)) worst = misfit;
  }
  return worst;
}

}  // namespace

void CreasingOptions::validate() const {
  require_between(strain_limit_percent, 0.05, 20.0, "strain_limit_percent", "%");
}

double disc_misfit(double curvature_per_mm2, double radius_mm) {
  if (std::abs(curvature_per_mm2) < kLeastCurvature) return 0.0;
  // Beyond the far pole of a ball the rim of a disc has no length left to miss.
  const double x = radius_mm * std::sqrt(std::abs(curvature_per_mm2));
  const bool saddle = curvature_per_mm2 < 0.0;
  return misfit_of(saddle ? std::min(x, 50.0) : std::min(x, kPi), saddle);
}

std::optional<double> flat_disc_radius_mm(double curvature_per_mm2, double limit_percent) {
  if (std::abs(curvature_per_mm2) < kLeastCurvature) return std::nullopt;
  const bool saddle = curvature_per_mm2 < 0.0;
  const double x = first_above(
      [&](double t) { return std::abs(misfit_of(t, saddle)); }, limit_percent / 100.0, kPi);
  return x / std::sqrt(std::abs(curvature_per_mm2));
}

std::optional<double> flat_strip_half_width_mm(double curvature_per_mm2, double limit_percent) {
  if (std::abs(curvature_per_mm2) < kLeastCurvature) return std::nullopt;
  const double limit = limit_percent / 100.0;
  const double x = curvature_per_mm2 > 0.0 ? std::acos(1.0 - limit) : std::acosh(1.0 + limit);
  return x / std::sqrt(std::abs(curvature_per_mm2));
}

int dart_count(double curvature_per_mm2, double radius_mm, double limit_percent) {
  const auto flat = flat_disc_radius_mm(curvature_per_mm2, limit_percent);
  if (!flat || radius_mm <= *flat) return 0;
  const double root = std::sqrt(std::abs(curvature_per_mm2));
  const double x = radius_mm * root;
  // Petals are widest a quarter of the way round a ball.
  const double round = curvature_per_mm2 > 0.0 ? std::sin(std::min(x, kPi / 2.0)) : std::sinh(x);
  const double half = *flat_strip_half_width_mm(curvature_per_mm2, limit_percent) * root;
  return std::max(3, static_cast<int>(std::ceil(kPi * round / half - 1e-9)));
}

double dart_width_mm(double curvature_per_mm2, double radius_mm) {
  return 2.0 * kPi * radius_mm * disc_misfit(curvature_per_mm2, radius_mm);
}

Creasing creasing_at(const Surface& surface,
                     FacePoint at,
                     double radius_mm,
                     const CreasingOptions& options) {
  options.validate();
  Creasing out;
  if (surface.developable()) return out;
  const double limit = options.strain_limit_percent / 100.0;
  const Misfit worst = worst_misfit(surface, at, radius_mm);
  out.curvature_per_mm2 = worst.curvature;
  out.strain_percent = 100.0 * worst.share;
  out.flat = std::abs(out.strain_percent) <= options.strain_limit_percent;
  // The curvature differs with the reach, so look outwards for where the limit is first passed.
  const double farthest = surface.along_mm() + surface.widest_mm();
  for (double low = 0.5; low < farthest; low *= 1.05) {
    const double high = low * 1.05;
    const auto misfit = [&](double r) { return std::abs(worst_misfit(surface, at, r).share); };
    if (misfit(high) <= limit) continue;
    const double radius =
        low + first_above([&](double more) { return misfit(low + more); }, limit, high - low);
    out.largest_flat_mm = 2.0 * radius;
    if (radius_mm > 0.0) out.scale_that_fits = radius / radius_mm;
    break;
  }
  return out;
}

}  // namespace underdraw
