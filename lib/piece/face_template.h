// The flat shape of a face at true size, and the way between it and the face.
//
// Stage:   piece. Pure.
// Frames:  template: mm, origin top left, x right, y down. Round faces: x = 0 is the seam tick,
//          y = height is the foot, so y = height - s.
// Refuses: sizes outside [1, 5000] mm (GeometryError).
// Source:  a cylinder of circumference C and height h unrolls to a C x h rectangle.
#pragma once

#include <vector>

#include "geometry/vec2.h"
#include "piece/face.h"

namespace underdraw {

// A point in a face's own coordinates: (a in degrees, s in mm) or (x, y) in mm.
struct FacePoint {
  double across = 0.0;
  double along = 0.0;
};

struct FaceTemplate {
  double width_mm = 0.0;
  double height_mm = 0.0;
  bool closes_round = false;  // the left and right edges are the same line on the piece

  double area_mm2() const { return width_mm * height_mm; }

  // Round faces take (a, s), flat ones (x, y).
  Vec2 template_from_face(FacePoint point) const;
  FacePoint face_from_template(Vec2 point) const;  // a in [0, 360)

  // The zone as boxes on the template, two when it runs over the seam. `factor` scales its tape
  // lengths to the template's stage.
  std::vector<Box> boxes_of(const KeepOut& zone, double factor) const;
};

// The face with its tape lengths times `factor` (Clay::transfer_from_measured for the template
// that the lines are transferred from).
FaceTemplate face_template(const Face& face, double factor = 1.0);

}  // namespace underdraw
