// The roughness of drawing paper, which graphite keeps to the heights of.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>

#include "support/seeded.h"

namespace underdraw::test {

// 0 up to t = 0, 1 from t = 1, without a kink.
inline double eased(double t) {
  t = t < 0.0 ? 0.0 : (t > 1.0 ? 1.0 : t);
  return t * t * (3.0 - 2.0 * t);
}

// Height in [0, 1], about 0.5 in the middle, at a point in mm. It remembers the cell that it was
// asked for last, so each thread needs its own, and asking along a row is quick.
class Tooth {
 public:
  explicit Tooth(unsigned seed) : seed_(seed) {}

  double at(double x_mm, double y_mm) {
    // Turned against each other and against the page, so no grid shows.
    const double u = 0.88 * x_mm + 0.47 * y_mm;
    const double v = 0.88 * y_mm - 0.47 * x_mm;
    return 0.6 * wave(u / 0.17, v / 0.17, 0) +
           0.4 * wave((0.6 * u - 0.8 * v) / 0.09, (0.8 * u + 0.6 * v) / 0.09, 1);
  }

 private:
  struct Cell {
    std::int64_t x = 0;
    std::int64_t y = 0;
    bool known = false;
    double here = 0.0, right = 0.0, below = 0.0, across = 0.0;
  };

  double knot(std::int64_t x, std::int64_t y, std::uint64_t layer) const {
    const auto key = static_cast<std::uint64_t>(x) * 0x100000001b3ULL ^
                     static_cast<std::uint64_t>(y) << 24 ^ layer << 60 ^
                     static_cast<std::uint64_t>(seed_) << 32;
    return static_cast<double>(scrambled(key) >> 40) / 16777216.0;
  }

  double wave(double x, double y, std::size_t layer) {
    const double fx = std::floor(x);
    const double fy = std::floor(y);
    const auto ix = static_cast<std::int64_t>(fx);
    const auto iy = static_cast<std::int64_t>(fy);
    Cell& cell = cells_[layer];
    if (!cell.known || cell.x != ix || cell.y != iy) {
      cell = {ix,
              iy,
              true,
              knot(ix, iy, layer),
              knot(ix + 1, iy, layer),
              knot(ix, iy + 1, layer),
              knot(ix + 1, iy + 1, layer)};
    }
    const double tx = eased(x - fx);
    const double ty = eased(y - fy);
    const double top = cell.here * (1.0 - tx) + cell.right * tx;
    const double low = cell.below * (1.0 - tx) + cell.across * tx;
    return top * (1.0 - ty) + low * ty;
  }

  unsigned seed_;
  std::array<Cell, 2> cells_;
};

}  // namespace underdraw::test
