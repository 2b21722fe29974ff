// Cuts what lies behind along the silhouettes of what lies in front, so that coats meet edge to
// edge and leave no ridge.
//
// Stage:   repeat. Pure.
// In/out:  linework and rings in one plane frame, mm. Rings as silhouette() gives them; they may
//          overlap (nonzero winding), and white that several of them close in stays white.
// Cut:     no ink (pen width included) is left within gap_mm of a silhouette. A line is cut where
//          its centreline comes within the gap and half its width; its curves stay the curves they
//          were. A line wider than wide_mm is a painted shape and is cut as an area. Areas are cut
//          along the silhouettes grown by the gap, corners rounded; cut ones become polygons. What
//          no cut touches comes back as it was. A dot stays whole or goes.
// Refuses: options outside their ranges (OptionError), coordinates beyond 100 m (GeometryError).
// Source:  signed distance to the silhouettes' edges; a line is followed in steps as long as that
//          distance, which cannot skip a crossing (sphere tracing: J. C. Hart, 1996), and crossings
//          are then bisected. Polygon differences and offsets by polyclipping.
#pragma once

#include <cstddef>

#include "geometry/linework.h"
#include "geometry/outline.h"

namespace underdraw {

struct CutOptions {
  double gap_mm = 0.3;  // bare clay left along the silhouettes; [0, 0.5]
  double least_piece_mm =
      0.5;               // shorter pieces of a cut line are dropped, and pieces of a cut area
                         // that are nowhere this long or everywhere a tenth as thin; [0, 50]
  double wide_mm = 3.0;  // wider lines are painted shapes; [0.1, 1000]
  double tolerance_mm = 0.005;  // of curves drawn as polygons, of cuts across a line; [0.001, 0.1]

  void validate() const;  // throws OptionError
};

struct CutResult {
  Linework lines;  // in the order given; the pieces of one line follow each other

  // What is gone. Lines: length of their centrelines. Areas and wide lines: ink.
  double hidden_length_mm = 0.0;
  double hidden_area_mm2 = 0.0;
  std::size_t hidden_dots = 0;
  double crumb_length_mm = 0.0;  // pieces too small to keep
  double crumb_area_mm2 = 0.0;
  std::size_t crumbs = 0;

  double removed_length_mm() const { return hidden_length_mm + crumb_length_mm; }
  double removed_area_mm2() const { return hidden_area_mm2 + crumb_area_mm2; }
};

CutResult cut_behind(const Linework& behind, const Rings& in_front, const CutOptions& options = {});

}  // namespace underdraw
