// Borders of the labels of a grid, as rings along the cells' edges.
//
// Stage:   coats. Pure. Internal to closed_areas.
// Frame:   cells, origin at the corner of cell (0, 0), x right, y down.
// Source:  crack following, as in any textbook of picture processing.
#pragma once

#include <vector>

#include "geometry/rings.h"

namespace underdraw {

struct LabelBorder {
  int label = 0;
  double cells = 0.0;
  Rings rings;  // outer borders with positive signed_area, borders of holes negative
};

// Row by row, `width` cells a row; labels in the order in which they come first. Cells that touch
// by a corner only are apart.
std::vector<LabelBorder> label_borders(const std::vector<int>& labels, int width);

}  // namespace underdraw
