// One variant at one spot on a face.
//
// Stage:   repeat. Pure.
// Frame:   template of the face at the size it has when the lines go on: mm, origin top left,
//          x right, y down.
#pragma once

#include <string>

#include "motif/motif.h"

namespace underdraw {

struct Placement {
  int id = 0;           // 1, 2, 3… over the whole piece: the number on map and cut-out
  std::string motif;    // name of the motif
  std::string variant;  // name of the variant: "kelp" or "kelp-mirrored"
  Change change;
  Vec2 centre;  // of the motif's ink box, template frame, mm

  Affine template_from_motif(const Motif& drawn) const {
    return Affine::translate(centre) * change.copy_from_motif(drawn);
  }
};

}  // namespace underdraw
