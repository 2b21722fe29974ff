// Single-stroke glyphs of the Hershey fonts: lines whose true middle is known from outside.
//
// In/out:  a .jhf file of Debian's hershey-fonts-data; glyphs as linework, mm.
// Source:  A. V. Hershey, "Calligraphy for Computers", U.S. Naval Weapons Laboratory, TR 2101
//          (1967); file layout as described in that package's copyright file.
#pragma once

#include <string>
#include <vector>

#include "geometry/linework.h"

namespace underdraw::test {

// Glyphs with at least one stroke, in file order; a capital is 21 units tall. Their corners are
// joined by straight lines. Throws std::runtime_error when the file is missing or damaged.
std::vector<Linework> read_hershey(const std::string& path, double mm_per_unit, double width_mm);

}  // namespace underdraw::test
