// Measured areas of a piece that take decoration.
//
// Stage:   piece. Pure.
// Frames:  on a round face a point is (a, s): a in degrees from the seam tick, growing to the right
//          for someone looking at the outside; s in mm along the wall from the foot upward. On a
//          flat face it is (x, y) in mm from the top left corner, y down.
// In/out:  lengths as the tape gave them, at the clay stage that the piece file names.
#pragma once

#include <string>
#include <variant>
#include <vector>

namespace underdraw {

struct FlatFace {
  double width_mm = 0.0;
  double height_mm = 0.0;
};

struct CylinderFace {
  double circumference_mm = 0.0;
  double height_mm = 0.0;
};

// Later forms (cone, turned, ring, ball, patch) join here; face_template() is where they are told
// apart.
using FaceForm = std::variant<FlatFace, CylinderFace>;

std::string name_of(const FaceForm& form);  // "flat", "cylinder"

// A rectangle of the face that stays free. Round faces: across is a in degrees and may run over
// the seam (350 to 10); along is s in mm. Flat faces: across is x, along is y, in mm.
struct KeepOut {
  double across_from = 0.0;
  double across_to = 0.0;
  double along_from = 0.0;
  double along_to = 0.0;
  std::string why;  // "handle"
};

struct Face {
  std::string name;
  FaceForm form;
  std::vector<KeepOut> keep_out;
};

}  // namespace underdraw
