// Placements as a hand gets them onto a piece: each a little out of place and turned, its lines a
// little unsteady. What was really drawn is known.
//
// Frame: face points, see piece/face.h.
#pragma once

#include <functional>
#include <vector>

#include "recover/recovered.h"
#include "repeat/arrange.h"
#include "support/face_texture.h"

namespace underdraw::test {

struct Hand {
  double shift_mm = 0.8;   // of a whole copy, at most, each way
  double turn_deg = 1.0;   // the same
  double wobble_mm = 0.1;  // of a line within its copy
  FaceLine look;           // width and strength of the lines
  unsigned seed = 1;
};

struct HandDrawn {
  std::vector<FaceLine> lines;  // for a FaceTexture
  RecoveredFace truth;          // the same with their placements, all seen
};

// `wanted` decides by number which placements are drawn; nothing: all.
HandDrawn draw_by_hand(const PlacedFace& face,
                       const std::vector<Motif>& motifs,
                       const Hand& hand = {},
                       const std::function<bool(const Placement&)>& wanted = {});

}  // namespace underdraw::test
