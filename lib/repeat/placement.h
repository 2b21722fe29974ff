// One variant at one spot on a face.
//
// Stage:   repeat. Pure.
// Frame:   face coordinates (piece/face.h) at the size the face has when the lines go on. A copy's
//          own frame is that of paper laid there: origin at the middle of the motif's ink box
//          before it was turned, x right, y down, mm.
#pragma once

#include <string>
#include <vector>

#include "motif/motif.h"
#include "piece/surface.h"

namespace underdraw {

struct Placement {
  int id = 0;           // 1, 2, 3… over the whole piece: the number on map and cut-out
  std::string motif;    // name of the motif
  std::string variant;  // name of the variant: "kelp" or "kelp-mirrored"
  Change change;
  FacePoint at;  // of the copy's origin

  // What paper this large is strained by on the curved wall, percent of length; 0 where it unrolls.
  double strain_percent = 0.0;
  std::vector<Path> darts = {};  // cuts that let it lie, copy frame
  bool too_fine = false;         // lines come closer than the pen can keep apart at this size
  std::string cut_from = {};     // of a copy cut along what lies in front: the whole motif

  Affine copy_from_motif(const Motif& drawn) const { return change.copy_from_motif(drawn); }
};

}  // namespace underdraw
