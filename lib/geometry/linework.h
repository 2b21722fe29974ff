// Drawn lines as values: strokes with their pen width, and areas drawn solid.
//
// Stage:   geometry. Pure.
// In/out:  mm in the frame that the owner names (page, motif, template or sheet).
#pragma once

#include <vector>

#include "geometry/path.h"

namespace underdraw {

struct Stroke {
  Path path;              // a one-point path is a dot
  double width_mm = 0.5;  // mean pen width along the stroke; a dot's diameter
  // Pen width at equal steps of the path's length, its start and end included; empty: width_mm
  // all along.
  std::vector<double> widths_mm = {};
};

// A region drawn solid; even-odd over its rings.
struct Area {
  std::vector<Path> rings;  // each closed
};

struct Linework {
  std::vector<Stroke> strokes;
  std::vector<Area> areas;

  bool empty() const { return strokes.empty() && areas.empty(); }
  Box ink_box() const;       // pen width included
  double length_mm() const;  // of all strokes
  std::size_t piece_count() const;
  void append(const Linework& more);
};

// Pen widths scale with the drawing.
Linework transformed(const Linework& lines, const Affine& to_from_lines);

}  // namespace underdraw
