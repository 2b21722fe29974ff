// Measured areas of a piece that take decoration: what a person reads off a tape.
//
// Stage:   piece. Pure.
// Frames:  on a round face a point is (a, s): a in degrees from the seam tick, growing to the right
//          for someone looking at the outside; s in mm along the wall from the foot upward, on a
//          ring from the outer edge inwards (which is upward for someone who stands before it). On
//          a flat face and on a patch it is (x, y) in mm from the top left corner, y down.
// In/out:  lengths as the tape gave them, at the clay stage that the piece file names.
// Oval:    cylinder, cone and ring are measured round, so oval walls are as good as round ones:
//          paper lies on both alike. The angle a is then the share of the way round. Only the
//          picture of the piece shows them round.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "geometry/outline.h"

namespace underdraw {

struct FlatFace {
  double width_mm = 0.0;
  double height_mm = 0.0;
  Rings outline = {};     // of a shaped face, inside width x height; empty: the whole rectangle
  double joint_mm = 0.0;  // to the next of a run of tiles: patterns go on over it
};

struct CylinderFace {
  double circumference_mm = 0.0;
  double height_mm = 0.0;
};

struct ConeFace {
  double foot_mm = 0.0;  // circumferences
  double rim_mm = 0.0;
  double slant_mm = 0.0;  // along the wall
};

// One reading of a turned wall: circumference at a height above the foot, or at a tape length along
// the wall from the foot.
struct ProfileReading {
  double at_mm = 0.0;
  double circumference_mm = 0.0;
};

struct TurnedFace {
  std::vector<ProfileReading> readings;  // upward, the first at 0
  bool along_wall = false;               // readings are tape lengths along the wall, not heights
  bool straight = false;                 // straight between readings; false: smooth
};

struct RingFace {
  double inner_mm = 0.0;  // diameters
  double outer_mm = 0.0;
  double slant_mm = 0.0;  // from the outer to the inner edge; 0: the ring is flat
};

struct BallFace {
  double circumference_mm = 0.0;
};

// A free-form area, as far as its curvature tells: tape length over the surface and straight-line
// length between the same two ends, across and up.
struct PatchFace {
  double across_mm = 0.0;
  double up_mm = 0.0;
  double across_chord_mm = 0.0;
  double up_chord_mm = 0.0;
  bool saddle = false;  // hollow one way, bulging the other
};

using FaceForm =
    std::variant<FlatFace, CylinderFace, ConeFace, TurnedFace, RingFace, BallFace, PatchFace>;

std::string name_of(const FaceForm& form);  // "flat", "cylinder"…

// "flat", "cylinder", … in the order of FaceForm.
const std::vector<std::string>& form_names();

// A part of the face that stays free. Round faces: across is a in degrees and may run over the seam
// (350 to 10); along is s in mm. Others: across is x, along is y, in mm.
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
  double tape_mm = 1.0;  // how far off a tape reading may be
};

}  // namespace underdraw
