// A face with dots at known places, and how far off they come out in its unrolled picture.
//
// Frame: face points, see piece/face.h; distances in mm on the wall.
#pragma once

#include <vector>

#include "recover/unrolled.h"
#include "support/face_texture.h"

namespace underdraw::test {

struct Dots {
  double across_step = 15.0;  // degrees, or mm on a flat face
  double along_step = 12.0;
  double margin_mm = 6.0;  // from the edges
  double width_mm = 1.2;
};

std::vector<FacePoint> dot_places(const Surface& surface, const Dots& dots = {});
std::vector<FaceLine> dot_lines(const Surface& surface, const Dots& dots = {});

struct DotMiss {
  FacePoint at;  // truth
  Vec2 off;      // right and down on the wall, less the common turn
  double steep_deg = 0.0;
};

struct DotMisses {
  std::vector<DotMiss> dots;  // found, seen below the steepest asked for
  std::size_t asked = 0;      // dots that are seen so
  double turn_deg = 0.0;      // that all came out turned by, taken away (round faces)
  double median_mm = 0.0, p95_mm = 0.0;
};

// The middle of the darkness near each place, where the picture sees it below `steepest_deg`.
DotMisses dot_misses(const Surface& surface,
                     const Unrolled& picture,
                     double steepest_deg = 65.0,
                     const Dots& dots = {});

// What was reached, for whoever reads the test's output.
void print_misses(const char* what, const DotMisses& misses);

}  // namespace underdraw::test
