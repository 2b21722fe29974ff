// Least squares for how a face stands: what the outline and the photos' shifts say, against the
// tape's readings.
//
// Stage:   recover, internal to fit_standing.cpp.
// In/out:  misses that are linear in the unknowns near where these are -> better unknowns, and how
//          sure they are. A miss far beyond the others counts little (Cauchy's loss).
// Source:  solver: Ceres.
#pragma once

#include <optional>
#include <vector>

#include "recover/fit_standing.h"
#include "recover/standing_unknowns.h"

namespace underdraw {

struct StandingMiss {
  double miss = 0.0;           // mm, at the unknowns' values
  std::vector<double> slopes;  // mm per unit of each unknown
  double weight = 1.0;         // per mm
};

struct StandingMisses {
  const std::vector<StandingMiss>& edges;
  const std::vector<StandingMiss>& shifts;
};

// The old values where nothing better is found.
std::vector<double> solve_standing(const StandingUnknowns& unknowns,
                                   const StandingMisses& misses,
                                   const FitStandingOptions& options);

// One sigma of each unknown; nothing where it cannot be told.
std::optional<std::vector<double>> standing_sds(const StandingUnknowns& unknowns,
                                                const StandingMisses& misses,
                                                const FitStandingOptions& options);

}  // namespace underdraw
