// Names of a motif's closed areas: a, b, … z, aa, ab…, as in "thistle b".
//
// Stage:   coats. Pure.
#pragma once

#include <cstddef>
#include <optional>
#include <string>

namespace underdraw {

// 0 is "a", 25 is "z", 26 is "aa".
std::string area_letter(std::size_t index);

struct AreaName {
  std::string motif;
  std::string letter;
};

// "sea pink b" is area b of the motif "sea pink"; nothing when no letters stand behind a space.
std::optional<AreaName> area_of_motif(const std::string& text);

}  // namespace underdraw
