// Something wrong with the traced lines of a page, and where.
//
// In/out:  page frame, mm.
#pragma once

#include <algorithm>

#include "geometry/vec2.h"

namespace underdraw::test {

enum class FaultKind {
  kMissed,     // a drawn stretch without a traced line
  kFalseLine,  // a traced stretch without a drawn line
  kOff,        // a traced line beside the drawn one
  kJunction,
  kSplit,
  kCut,
  kSpur,
  kGap,
  kMissedDot,
  kFalseDot,
};

struct Fault {
  FaultKind kind = FaultKind::kMissed;
  Vec2 at;
  double weight = 0.0;  // how bad it looks: about the mm of line that are wrong
};

// No single fault outweighs all others.
inline Fault fault(FaultKind kind, Vec2 at, double weight) {
  return {kind, at, std::min(weight, 5.0)};
}

}  // namespace underdraw::test
