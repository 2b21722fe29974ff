// Which ways an outline may be turned when it is packed.
//
// Stage: sheet. Pure values.
#pragma once

#include <vector>

namespace underdraw {

struct Turns {
  bool free = false;                   // any angle; at_deg is not looked at
  std::vector<double> at_deg = {0.0};  // else one of these, at least one

  static Turns none() { return {}; }
  static Turns half() { return {false, {0.0, 180.0}}; }
  static Turns any() { return {true, {}}; }

  friend bool operator==(const Turns&, const Turns&) = default;
};

}  // namespace underdraw
