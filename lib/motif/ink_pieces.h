// A drawing's ink as short straight pieces with their widths, and what lies near a place.
//
// Stage:   motif. Pure. Used by closest_lines and line_detail.
// In/out:  frame and unit of the linework.
// Source:  own construction: a grid of cells over the pieces' ink.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "geometry/linework.h"

namespace underdraw {

enum class InkKind { stroke, dot, edge };  // edge: the outline of an area, of no width

struct InkPiece {
  Vec2 a, b;  // the same for a dot
  double half_a = 0.0, half_b = 0.0;
  double along = 0.0;  // of a, from the start of its line
  std::uint32_t line = 0;

  Vec2 at(double t) const { return mix(a, b, t); }
  double half(double t) const { return half_a + (half_b - half_a) * t; }
  Box ink() const;
};

struct InkLine {
  InkKind kind = InkKind::stroke;
  bool closed = false;
  double length = 0.0;
  std::uint32_t first = 0, end = 0;  // its pieces
  std::uint32_t area = 0;            // edges: of which area
  double inside = 0.0;               // edges: +1 when ink lies on the side of perpendicular(b - a)
};

// A place on a line.
struct InkSpot {
  Vec2 at;
  double half = 0.0;
  double along = 0.0;
};

class InkPieces {
 public:
  // Curves within `tolerance`, no piece longer than `step`, cells of `cell` or more.
  InkPieces(const Linework& lines, double tolerance, double step, double cell);

  const std::vector<InkPiece>& pieces() const { return pieces_; }
  const std::vector<InkLine>& lines() const { return lines_; }

  // Calls once for every piece whose cells the box touches.
  template <typename Call>
  void near(const Box& box, Call call) const {
    ++stamp_;
    each_cell(box, [&](std::size_t cell) {
      for (std::uint32_t k = starts_[cell]; k < starts_[cell + 1]; ++k) {
        const std::uint32_t piece = members_[k];
        if (seen_[piece] == stamp_) continue;
        seen_[piece] = stamp_;
        call(piece);
      }
    });
  }

  // Wrapped on a closed line, held at the ends of an open one.
  InkSpot spot(std::uint32_t line, double along) const;
  std::uint32_t piece_at(std::uint32_t line, double along) const;  // along within the line

  // Solid drawn areas only.
  bool in_area(Vec2 p) const;

 private:
  // `pen`: whose widths the pieces get; none for an edge.
  void add(const std::vector<Vec2>& points, const Stroke* pen, InkLine line, double step);
  bool in_area(std::size_t area, Vec2 p) const;
  void find_insides();
  void fill_grid(double cell);

  template <typename Call>
  void each_cell(const Box& box, Call call) const {
    const auto cell = [&](double v, int count) {
      return static_cast<std::size_t>(std::clamp(std::floor(v / cell_), 0.0, count - 1.0));
    };
    const std::size_t x1 = cell(box.max.x - box_.min.x, columns_);
    const std::size_t y1 = cell(box.max.y - box_.min.y, rows_);
    for (std::size_t y = cell(box.min.y - box_.min.y, rows_); y <= y1; ++y) {
      for (std::size_t x = cell(box.min.x - box_.min.x, columns_); x <= x1; ++x) {
        call(y * static_cast<std::size_t>(columns_) + x);
      }
    }
  }

  std::vector<InkPiece> pieces_;
  std::vector<InkLine> lines_;
  std::vector<std::vector<std::uint32_t>> areas_;  // the lines of each area
  std::vector<Box> area_boxes_;
  Box box_;
  double cell_ = 1.0;
  int columns_ = 1, rows_ = 1;
  std::vector<std::uint32_t> starts_, members_;
  mutable std::vector<std::uint32_t> seen_;  // so that a piece in two cells is met once
  mutable std::uint32_t stamp_ = 0;
};

// Where two pieces come closest: 0 apart where they cross.
struct PieceGap {
  double t = 0.0, u = 0.0;  // on the first and on the second piece
  double apart = 0.0;       // of the centrelines
};
PieceGap closest(const InkPiece& first, const InkPiece& second);

}  // namespace underdraw
