// Finds which of many points are near a place.
//
// In/out: points in one frame, mm.
#pragma once

#include <cmath>
#include <cstddef>
#include <unordered_map>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw::test {

class PointGrid {
 public:
  explicit PointGrid(double cell) : cell_(cell) {}

  void add(Vec2 p) {
    cells_[key(column(p.x), column(p.y))].push_back(points_.size());
    points_.push_back(p);
  }

  // Calls visit(index, distance) for each point within reach <= cell.
  template <typename Visit>
  void near(Vec2 p, double reach, const Visit& visit) const {
    for (long y = column(p.y) - 1; y <= column(p.y) + 1; ++y) {
      for (long x = column(p.x) - 1; x <= column(p.x) + 1; ++x) {
        const auto found = cells_.find(key(x, y));
        if (found == cells_.end()) continue;
        for (const std::size_t i : found->second) {
          const double off = distance(points_[i], p);
          if (off <= reach) visit(i, off);
        }
      }
    }
  }

  bool any_near(Vec2 p, double reach) const {
    bool found = false;
    near(p, reach, [&](std::size_t, double) { found = true; });
    return found;
  }

 private:
  long column(double v) const { return static_cast<long>(std::floor(v / cell_)); }
  static long key(long x, long y) { return y * 1000003 + x; }

  double cell_;
  std::vector<Vec2> points_;
  std::unordered_map<long, std::vector<std::size_t>> cells_;
};

}  // namespace underdraw::test
