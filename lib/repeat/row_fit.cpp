#include "repeat/row_fit.h"

#include <cmath>
#include <numeric>

#include "core/error.h"

namespace underdraw {
namespace {

// When length / unit is a whole number, rounding may put it a hair below.
constexpr double kWhole = 1.0 + 1e-9;
constexpr double kMostUnits = 10000.0;

}  // namespace

double RowRequest::ink_mm() const {
  return std::accumulate(widths_mm.begin(), widths_mm.end(), 0.0);
}

double RowRequest::gaps_mm() const { return static_cast<double>(widths_mm.size()) * least_gap_mm; }

RowFit fit_row(const RowRequest& request) {
  require_between(request.length_mm, 0.001, 1e5, "row length", "mm");
  require_between(request.least_gap_mm, 0.0, 1e5, "gap", "mm");
  for (const double width : request.widths_mm) require_between(width, 1e-6, 1e5, "width", "mm");
  if (request.widths_mm.empty()) return {};
  const double ink = request.ink_mm();
  const double gaps = static_cast<double>(request.widths_mm.size());
  const double most = std::floor(request.length_mm / (ink + request.gaps_mm()) * kWhole);
  const double units = request.repeats ? *request.repeats : most;
  if (most < 1.0 || units > most) return {};
  require_between(units, 1.0, kMostUnits, "repeats in a row", "");

  RowFit fit;
  fit.repeats = static_cast<int>(units);
  const double pitch = request.length_mm / units;
  fit.gap_mm = (pitch - ink) / gaps;
  if (std::abs(fit.gap_mm) < 1e-9 * pitch) fit.gap_mm = 0.0;
  for (int k = 0; k < fit.repeats; ++k) {
    const double start = static_cast<double>(k) * request.length_mm / units;
    double left = fit.gap_mm / 2.0;
    for (const double width : request.widths_mm) {
      fit.centres_mm.push_back(start + left + width / 2.0);
      left += width + fit.gap_mm;
    }
  }
  return fit;
}

}  // namespace underdraw
