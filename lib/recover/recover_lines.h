// A piece's placements found again in what the photos show of a face, and all its other lines.
//
// Stage:   recover. Pure.
// In/out:  an unrolled face and what was placed on it -> strokes in the face's frame. A stroke of a
//          found placement is its motif's, bent to where it was drawn: whole where at least half of
//          it is seen, otherwise the stretches that are. What belongs to no placement stays as
//          found. Nothing is given for what the photos do not show.
// Refuses: options outside their ranges (OptionError); a placement whose motif is not given
//          (GeometryError).
// Source:  own construction; see read_lines.h and match_lines.h.
#pragma once

#include <string>
#include <vector>

#include "core/progress.h"
#include "motif/motif.h"
#include "recover/match_lines.h"
#include "recover/read_lines.h"
#include "recover/recovered.h"
#include "recover/unrolled.h"
#include "repeat/arrange.h"

namespace underdraw {

enum class Finding {
  found,
  mirrored,  // found as its mirror image
  no_match,  // its place is seen, but its lines are not there
  not_seen,  // too little of its place is in any photo
  no_photos  // there are none of its face
};

bool is_found(Finding finding);  // mirrored or not

struct FoundPlacement {
  int id = 0;
  Finding finding = Finding::not_seen;
  Vec2 shift;             // from where it was planned: right and down on the face, mm
  double turn_deg = 0.0;  // clockwise for someone looking at the face
  double scale = 1.0;
  double seen = 0.0;     // share of its lines that the photos show
  double in_view = 0.0;  // share of its place that the photos show, lines or not
  double share = 0.0;    // of what is in view, that lies on lines
  double chance = 0.0;   // the same at the best place beside it
};

struct RecoverLinesOptions {
  ReadLinesOptions read;
  MatchOptions match;
  double least_in_view = 0.25;  // below, a placement counts as not seen; [0.05, 0.9]
  double faint_share = 0.45;    // other lines fainter than this share of the found ones are dropped
  double least_mm = 3.0;        // other lines shorter than this are dropped; [1, 50]

  void validate() const;  // throws OptionError
};

struct RecoveredLines {
  RecoveredFace face;
  std::vector<FoundPlacement> placements;  // in their order
  SeenLines seen;                          // what all that was found in
};

RecoveredLines recover_lines(const Unrolled& face,
                             const PlacedFace& placed,
                             const std::vector<Motif>& motifs,
                             const RecoverLinesOptions& options = {},
                             const Progress& progress = {});

}  // namespace underdraw
