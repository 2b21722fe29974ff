// The lines that an unrolled face shows: drawn with graphite or ink on clay or on brushwork.
//
// Stage:   recover. Pure.
// Frames:  face points; a line's points run on through the seam. About 0.1 mm from point to point.
// How:     picture_lines.h on the laid-out picture.
// Refuses: options outside their ranges (OptionError).
// Source:  own construction.
#pragma once

#include <vector>

#include "piece/surface.h"
#include "recover/unrolled.h"

namespace underdraw {

struct SeenLine {
  std::vector<FacePoint> points;
  double width_mm = 0.0;
  double depth = 0.0;  // how much darker than the coat beside it, median; 1 black
};

struct SeenDot {
  FacePoint at;
  double width_mm = 0.0;
  double depth = 0.0;
};

// A point of a line.
struct SeenPoint {
  FacePoint at;
  Vec2 along;  // unit, (right, down) on the wall, either way
};

struct SeenLines {
  std::vector<SeenLine> lines;
  std::vector<SeenPoint> points;
  std::vector<SeenDot> dots;
  double noise = 0.0;  // of the coat between lines, as depth
};

struct ReadLinesOptions {
  double line_mm = 0.6;      // width of what drew the lines; [0.1, 5]
  double least_depth = 0.1;  // fainter is taken for the coat; [0.02, 0.9]
  double least_mm = 1.5;     // shorter lines are dropped; [0.2, 50]

  void validate() const;  // throws OptionError
};

SeenLines read_lines(const Unrolled& face,
                     const Surface& surface,
                     const ReadLinesOptions& options = {});

}  // namespace underdraw
