// A copy that lies behind others on its face, cut along their outlines and at the face's edge.
//
// Stage:   repeat. Pure.
// In/out:  the placement and what lies on the face before it; its linework in the motif's own
//          frame, mm.
// Source:  see cut_behind.h. Outlines in front are brought onto the copy's paper as it would be
//          laid: exact where the face unrolls.
#pragma once

#include "geometry/linework.h"
#include "motif/motif.h"
#include "repeat/on_face.h"
#include "repeat/placement.h"

namespace underdraw {

struct CutCopy {
  Linework lines;  // motif frame; empty: nothing is left to see
  bool cut = false;
};

CutCopy cut_copy(const Surface& surface,
                 const TakenSpots& in_front,
                 const Motif& motif,
                 const Placement& placement,
                 double gap_mm,
                 double edge_mm);

}  // namespace underdraw
