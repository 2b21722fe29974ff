// A sketch as linework, and its mirrored, turned and scaled copies.
//
// Stage:   motif. Pure.
// Frame:   motif, mm, origin top left of the ink's box (pen width included), x right, y down.
// Exact:   coordinates are whole multiples of kMotifStepMm, so that mirroring loses nothing.
#pragma once

#include <string>

#include "geometry/linework.h"

namespace underdraw {

struct Motif {
  std::string name;  // "thistle"; also the stem of its file
  Linework lines;
  double width_mm = 0.0;  // of the ink's box
  double height_mm = 0.0;

  Vec2 centre() const { return {width_mm / 2.0, height_mm / 2.0}; }
};

constexpr double kMotifStepMm = 1.0 / (1 << 30);  // about 1e-9 mm

// The same lines moved so that their ink box starts at (0, 0). Refuses empty linework
// (GeometryError).
Motif make_motif(std::string name, const Linework& lines);

// The same when the ink's box is known: it becomes the motif's box as it is.
Motif make_motif(std::string name, const Linework& lines, const Box& ink);

// How a copy differs from the motif as drawn: mirrored first (left becomes right), then turned,
// then scaled.
struct Change {
  bool mirrored = false;
  double turn_deg = 0.0;  // clockwise on paper
  double scale = 1.0;     // > 0

  // Lines of the motif, centred on (0, 0), changed.
  Affine copy_from_motif(const Motif& motif) const;
};

}  // namespace underdraw
