// How evenly outlines are spread over a face, in numbers that stand for what the eye sees.
//
// Stage:   repeat. Pure.
// Frame:   the face unrolled to a plane, mm, x right; it may go on across its sides and its ends.
// Source:  nearest neighbours: P. J. Clark, F. C. Evans, Ecology 35 (1954) 445-453; relative
//          radius: A. Lagae, P. Dutré, A Comparison of Methods for Generating Poisson Disk
//          Distributions, CGF 27 (2008) 114-129; empty spots: R. A. Saputra, C. S. Kaplan,
//          P. Asente, RepulsionPak, Graphics Interface 2018, 10-17. Corridors, ink profiles and
//          rows: own definitions, below.
#pragma once

#include <vector>

#include "geometry/outline.h"
#include "piece/surface.h"

namespace underdraw {

struct SpacedShape {
  Rings outline;  // may run over a side that is wrapped
  int kin = 0;    // those of one number count as alike
};

struct SpacedPlane {
  double width_mm = 0.0;
  double height_mm = 0.0;
  bool wraps_across = false;
  bool wraps_along = false;
  double border_mm = 0.0;           // strip along edges that do not wrap which is not looked at
  std::vector<Rings> blocked = {};  // zones, no part of the face; each even-odd
  std::vector<SpacedShape> shapes = {};
};

struct SpacingQuality {
  double coverage = 0.0;  // ink over the plane less what is blocked

  // Of every shape the gap to its nearest: smallest and median. 0 for fewer than two shapes.
  double smallest_gap_mm = 0.0;
  double median_gap_mm = 0.0;
  double same_neighbour_share = 0.0;  // whose nearest by outline is kin

  // Between middles of the shapes' boxes.
  double nearest_mean_mm = 0.0;
  double nearest_cv = 0.0;       // 0 even, 0.52 strewn by chance
  double relative_radius = 0.0;  // least distance over the largest that so many points allow
  double clark_evans = 0.0;      // 1 by chance, 2.15 hexagonal

  // The widest straight stripe without ink, a window long, with ink on both its sides; and its
  // share of the mean gap, which is the pitch less the diameter of a disc as large as a shape.
  double corridor_mm = 0.0;
  double corridor_deg = 0.0;  // 0 across, growing clockwise on paper
  double corridor_share = 0.0;

  // Share of ink along parallel lines through a window, how much it varies from line to line (CV):
  // the largest over 180 directions, the mean of all windows.
  double profile_variation = 0.0;
  double profile_deg = 0.0;  // where it is largest in the first window

  // The furthest that a spot is from all ink, and its share of the mean shape's radius (of the disc
  // of equal area).
  double empty_mm = 0.0;
  double empty_radii = 0.0;

  // How often a neighbour lies the same way off: the most frequent offset up to four pitches long,
  // within a fifth of a pitch, over the number of shapes. 1 in a lattice, about 0.3 by chance.
  double row_strength = 0.0;
};

// Windows are 16 pitches long and wide, as far as the face goes; as many as it takes to see all of
// it. The pitch is the side of the square that a shape has to itself.
SpacingQuality spacing_quality(const SpacedPlane& plane);

// A face with what lies on it, unrolled at its mean width. Outlines are in face coordinates, x
// across and y along.
SpacedPlane spaced_plane_of(const Surface& surface,
                            const std::vector<SpacedShape>& shapes,
                            const std::vector<Rings>& blocked,
                            double border_mm);

}  // namespace underdraw
