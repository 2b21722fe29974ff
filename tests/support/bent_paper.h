// Paper that is bent without being stretched, by stepping along it: truth for photos of sheets.
//
// Frames: sheet: mm, origin top left, x right, y down. Mat: see photo/camera.h; the sheet lies with
//         its middle at the mat's origin, its top towards +y.
// Source: a generalized cylinder is rolled out by the length of its curve (any textbook of
//         differential geometry; M. do Carmo, Differential geometry of curves and surfaces, 4-3).
//         Steps of 0.05 mm; nothing of the library's own model is used.
#pragma once

#include <vector>

#include "geometry/vec2.h"
#include "geometry/vec3.h"

namespace underdraw::test {

enum class BendShape { arc, one_end, wave };

class BentPaper {
 public:
  // Bent in the direction of `along_deg` on the sheet, by `bow_mm` from its plane at most.
  BentPaper(Vec2 sheet_mm, BendShape shape, double bow_mm, double along_deg);

  Vec3 mat_from_sheet(Vec2 sheet) const;
  // Above a place of the mat's plane. Beyond its edges the paper goes on.
  double height_at(Vec2 mat) const;
  Vec2 sheet_from_mat(Vec2 mat) const;

 private:
  struct Step {
    double x, z;  // across the rulings, in the plane and up
  };
  struct Place {
    double length, z;  // along, from the middle
  };
  Vec2 along() const;
  Place place_at(double x) const;

  Vec2 sheet_mm_;
  double along_deg_;
  double reach_;  // mm to both sides of the middle
  std::vector<Step> steps_;
};

}  // namespace underdraw::test
