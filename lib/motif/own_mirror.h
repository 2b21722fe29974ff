// Is a motif its own mirror image?
//
// Stage:   motif. Pure.
// Refuses: options outside their ranges (OptionError).
// Source:  own construction: the drawing is sampled, folded over candidate axes near its centroid
//          and compared with itself by nearest distance; the best axes are refined.
#pragma once

#include <optional>

#include "geometry/linework.h"

namespace underdraw {

// Why these figures: drawings of 40 to 60 mm redrawn by a simulated hand (tests/motif/shapes.h),
// twelve times each. Symmetric ones that were 0.4 mm (rms) off in every line still agreed over
// 0.927 of their length; drawings without an axis reached at most 0.47, and 0.845 at worst where
// dense feather barbs leave something near everywhere. A hand 0.7 mm off is told apart no more, and
// a mirrored copy of such a drawing can be seen to differ.
struct OwnMirrorOptions {
  // A point of the folded drawing agrees when a line is this near: the larger of the two.
  double near_mm = 0.6;       // [0.01, 20]
  double near_share = 0.02;   // of the drawing's larger side; [0, 0.2]
  double least_share = 0.92;  // of the line length that must agree; (0.5, 1]

  void validate() const;  // throws OptionError
};

struct OwnMirror {
  bool symmetric = false;
  double axis_deg = 90.0;  // direction of the axis, [0, 180): 0 along x, 90 upright
  Vec2 on_axis;            // a point of it, motif frame
  double share = 0.0;      // of the line length that agrees
  double rms_mm = 0.0;     // departure of the folded drawing from itself
  double largest_mm = 0.0;
};

// The best axis, whether or not it is good enough. Nothing is its own mirror when it is empty.
OwnMirror own_mirror(const Linework& lines, const OwnMirrorOptions& options = {});

}  // namespace underdraw
