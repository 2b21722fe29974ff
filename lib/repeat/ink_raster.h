// What of a plane is ink, what is bare and what is no part of it, in square cells.
//
// Stage:   repeat. Pure.
// Source:  even-odd filling along cell rows; distances by P. F. Felzenszwalb, D. P. Huttenlocher,
//          Distance Transforms of Sampled Functions, Theory of Computing 8 (2012) 415-428.
#pragma once

#include <cstdint>
#include <vector>

#include "repeat/spacing_quality.h"

namespace underdraw {

enum class Cell : std::uint8_t { bare, ink, outside };

class InkRaster {
 public:
  InkRaster(const SpacedPlane& plane, double cell_mm);

  // The cell at a point; beyond a side that does not wrap it is outside.
  Cell at(Vec2 p) const {
    double x = p.x / cell_x_, y = p.y / cell_y_;
    if (wraps_across_) x -= columns_ * std::floor(x / columns_);
    if (wraps_along_) y -= rows_ * std::floor(y / rows_);
    if (x < 0.0 || y < 0.0 || x >= columns_ || y >= rows_) return Cell::outside;
    return cells_[index(static_cast<int>(x), static_cast<int>(y))];
  }

  double share(Cell kind) const;  // of all cells

  // Middles of the bare cells that are furthest from ink (looked for up to `most_mm`): those within
  // a cell of the largest distance, `count` at most.
  std::vector<Vec2> emptiest(double most_mm, std::size_t count) const;

 private:
  std::size_t index(int column, int row) const {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
           static_cast<std::size_t>(column);
  }
  void fill(const Rings& rings, Cell kind);

  int columns_ = 0, rows_ = 0;
  double cell_x_ = 0.0, cell_y_ = 0.0;
  bool wraps_across_, wraps_along_;
  std::vector<Cell> cells_;
};

}  // namespace underdraw
