// Motifs spread over the faces of a piece.
//
// Stage:   repeat. Pure.
// In/out:  faces as measured, motifs as drawn; placements on the template of each face at the clay
//          stage when the lines go on, numbered 1, 2, 3… over the whole piece.
// Layout:  a row begins and ends with half a gap, so the seam is a gap like any other and nothing
//          lies across it; style centre stands opposite the seam tick. Alternate mirroring makes
//          the unit twice as long, so a closed row always holds an even number of motif lists.
// Refuses: a unit that does not fit once, a motif higher than its face, a band over its edge,
//          neighbours closer than the line gap (GeometryError, with the numbers and the largest
//          size that fits).
// Source:  whole repeats round a body: n = floor(C / (unit + gaps)), unit k at k C / n, never by
//          adding; own construction.
#pragma once

#include <string>
#include <vector>

#include "motif/motif.h"
#include "piece/face.h"
#include "piece/face_template.h"
#include "piece/shrinkage.h"
#include "repeat/arrangement.h"
#include "repeat/placement.h"

namespace underdraw {

// What one arrangement came to. Lengths are at the stage when the lines go on.
struct FitReport {
  std::string style;  // "band"
  std::vector<std::string> motifs;
  std::string mirror;  // "alternate"
  int copies = 0;      // placed
  int left_out = 0;    // because of keep-out zones
  int repeats = 0;     // whole units in a row
  int rows = 1;
  double gap_mm = 0.0;             // true gap between neighbours in a row
  double gap_finished_mm = 0.0;    // the same on the finished piece
  double row_gap_mm = 0.0;         // true gap between rows; 0 for one row
  double end_gap_mm = 0.0;         // flat faces: from the edge to the first and from the last motif
  double seam_error_mm = 0.0;      // largest difference between gaps, as the numbers are written
  double coverage = 0.0;           // silhouettes over face area, 0 to 1
  std::vector<std::string> notes;  // sizes and shrinkage in words, one line each
  std::vector<std::string> warnings;
};

struct PlacedFace {
  std::string name;
  std::string form;  // "cylinder"
  FaceTemplate flat;
  std::vector<Placement> placements;
  std::vector<FitReport> reports;  // one an arrangement of this face
  double coverage = 0.0;           // all its arrangements
};

struct ArrangeOptions {
  double least_gap_mm = 0.8;  // [line] gap of the piece file: neighbours never closer; [0, 50]

  void validate() const;  // throws OptionError
};

// Placements are rounded to these steps, so that what is checked is what is written.
constexpr double kPlacementStepMm = 1e-4;
constexpr double kPlacementStepDeg = 1e-5;

// One PlacedFace a face, in their order, those without an arrangement included.
std::vector<PlacedFace> arrange(const std::vector<Face>& faces,
                                const std::vector<Arrangement>& arrangements,
                                const std::vector<Motif>& motifs,
                                const Clay& clay,
                                const ArrangeOptions& options = {});

}  // namespace underdraw
