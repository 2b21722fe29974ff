// How far a place is from outlines, and on which side.
//
// Stage:   repeat. Pure.
// In/out:  mm. Rings run round their inside one way and round holes the other, and do not cross.
// Source:  the nearest edge in a grid of cells, its side at corners by the sum of both edges'
//          normals (J. A. Bærentzen, H. Aanæs, 2005, in the plane); further off by the side of the
//          whole cell.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/outline.h"

namespace underdraw {

class EdgeField {
 public:
  // Distances up to `reach_mm` are exact.
  EdgeField(const Rings& rings, double reach_mm);

  // Positive outside, negative inside. Its size is exact up to reach_mm; beyond, it is a bound that
  // is at least reach_mm and never more than the true distance.
  double at(Vec2 p) const;

  // Rings with an edge in the cells that the box touches; each once, in order.
  std::vector<std::uint32_t> rings_near(const Box& box) const;

 private:
  struct Edge {
    Vec2 a, b;
    std::uint32_t ring = 0;
    std::uint32_t before = 0, after = 0;  // edges of the same ring
  };

  std::size_t cell_at(std::int64_t column, std::int64_t row) const {
    return static_cast<std::size_t>(row * columns_ + column);
  }
  std::int64_t column_of(double x) const;  // may lie outside the grid
  std::int64_t row_of(double y) const;
  void find_sides();
  void find_rooms();
  double side(std::uint32_t edge, double t, Vec2 away) const;

  std::vector<Edge> edges_;
  Box box_;
  double reach_ = 0.0;
  double cell_ = 1.0;
  std::int64_t columns_ = 1, rows_ = 1;
  std::vector<std::uint32_t> starts_, members_;
  std::vector<char> inside_;          // the middle of each cell
  std::vector<std::uint32_t> rooms_;  // steps to the nearest cell with an edge
};

}  // namespace underdraw
