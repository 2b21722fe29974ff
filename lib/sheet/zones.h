// Keep-out zones made ready for drawing.
//
// Stage:   sheet. Pure.
// Frame:   face coordinates (piece/face.h) when the lines go on.
#pragma once

#include <string>
#include <vector>

#include "repeat/arrange.h"

namespace underdraw {

struct FaceLine {
  FacePoint from, to;
};

// One piece of a zone: inside the face, in [0, 360] across on a round face.
struct ZonePiece {
  double across_from = 0.0;
  double across_to = 0.0;
  double along_from = 0.0;
  double along_to = 0.0;
  std::string why;  // of the widest piece of a zone; empty for the others

  FacePoint middle() const {
    return {(across_from + across_to) / 2.0, (along_from + along_to) / 2.0};
  }
};

// A zone over the seam comes in two pieces, one off the face in none.
std::vector<ZonePiece> zone_pieces(const PlacedFace& face);

// Parallel lines over the piece, falling to the right at 45 degrees where a unit of across is
// mm_per_across long, pitch_mm apart.
std::vector<FaceLine> hatching(const Surface& surface,
                               const ZonePiece& zone,
                               double pitch_mm,
                               double mm_per_across);

}  // namespace underdraw
