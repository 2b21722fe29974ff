// A drawing too large for the paper, shared out over pages that overlap.
//
// Stage:   sheet. Pure.
// Frame:   of the drawing, mm, y down. Rows are lettered from the top, columns numbered from the
//          left: "B2".
#pragma once

#include <string>
#include <vector>

#include "geometry/outline.h"
#include "sheet/drawing.h"

namespace underdraw {

constexpr double kTileOverlapMm = 10.0;

struct Tile {
  std::size_t row = 0, column = 0;
  Box window;  // what the page shows

  std::string name() const;  // "B2"
};

struct Tiling {
  std::size_t rows = 1, columns = 1;
  Vec2 size;                // of each window
  std::vector<Tile> tiles;  // those that hold some of the drawing

  const Tile* at(std::size_t row, std::size_t column) const;  // nullptr: blank
};

// As few windows as the box takes, in the middle over it; those that touch none of the shape are
// left out.
Tiling tiled(const Box& box, const Rings& shape, Vec2 window);

// Crosses in circles with a letter, two on each overlap of two pages, the same on both.
std::vector<Mark> register_marks(const Tiling& tiling);

// Only what lies inside the window: lines are cut at its edge, words are whole or not there.
std::vector<Mark> marks_inside(const std::vector<Mark>& marks, const Box& window);

// Words that no window holds whole are moved into the one that holds their middle.
std::vector<Mark> words_settled(std::vector<Mark> marks, const Tiling& tiling);

}  // namespace underdraw
