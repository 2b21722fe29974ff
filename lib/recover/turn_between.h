// By how much a round piece was turned on its mat between two stages, from what shows at both:
// brush marks beside a coat, lines that were left free.
//
// Stage:   recover. Pure.
// Frames:  see recover/unrolled.h. Degrees, counter-clockwise seen from above.
// How:     patches of the one picture are looked for in the other; a turn counts when patches in
//          several places agree on it, so that what is covered or was drawn anew does not.
// Refuses: faces that are not round or not of one surface (GeometryError); options.
// Source:  own construction.
#pragma once

#include <cstddef>
#include <optional>

#include "recover/unrolled.h"

namespace underdraw {

struct TurnBetweenOptions {
  double most_deg = 8.0;   // turned by more is not found; [1, 30]
  std::size_t least = 8;   // patches that have to agree; [3, 1000]
  double agree_mm = 0.35;  // to within this; [0.05, 2]

  void validate() const;  // throws OptionError
};

struct TurnBetween {
  double turn_deg = 0.0;  // a place that was at a lies at a + turn_deg later
  double up_mm = 0.0;     // and this much higher: what the wall's two fits differ by
  std::size_t patches = 0;
  double scatter_mm = 0.0;  // of these, median-based
};

// Nothing where too little shows at both stages.
std::optional<TurnBetween> turn_between(const Unrolled& before,
                                        const Unrolled& after,
                                        const Surface& surface,
                                        const TurnBetweenOptions& options = {});

}  // namespace underdraw
