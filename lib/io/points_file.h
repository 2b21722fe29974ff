// points.toml: spots that a person tapped in a photo before and a photo after.
//
// Stage:   io. Opens one file.
// In/out:  [[pair]] tables: before and after name kept photos, as in photos/; points is a list of
//          [x1, y1, x2, y2], px of the upright photos, a pixel's corner is (0, 0).
// Refuses: broken TOML, unknown keys, fewer than 4 points, numbers that no photo has, the same pair
//          twice (InputError names the line).
// Source:  TOML 1.0.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "recover/view_map.h"

namespace underdraw {

constexpr const char* kPointsFile = "points.toml";

struct TappedPair {
  std::string before, after;  // names in photos/, without that folder
  std::vector<SpotPair> points;
  int line = 0;  // of its table
};

std::vector<TappedPair> read_points(const std::filesystem::path& path);

// The same for text in memory; `file` is only named in complaints.
std::vector<TappedPair> points_of_text(std::string_view text, const std::string& file);

}  // namespace underdraw
