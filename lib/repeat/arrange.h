// Motifs spread over the faces of a piece.
//
// Stage:   repeat. Pure.
// In/out:  faces as measured, motifs as drawn; placements on each face at the clay stage when the
//          lines go on, numbered 1, 2, 3… over the whole piece.
// Layout:  see lay_rows.h, lay_ring.h and scatter.h. Later arrangements keep clear of earlier ones:
//          a copy that would touch one, or a keep-out zone, is left out and counted. One that lies
//          behind is cut along their outlines instead and becomes a motif of its own.
// Refuses: what the styles refuse; neighbours closer than the line gap (GeometryError).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "motif/line_detail.h"
#include "motif/motif.h"
#include "piece/face.h"
#include "piece/shrinkage.h"
#include "piece/surface.h"
#include "repeat/arrangement.h"
#include "repeat/placement.h"
#include "repeat/spacing_quality.h"

namespace underdraw {

// What one arrangement came to. Lengths are at the stage when the lines go on.
struct FitReport {
  std::string style;  // "band"
  std::vector<std::string> motifs;
  std::string mirror;  // "alternate", or the name of the frieze
  int copies = 0;      // placed
  int left_out = 0;    // because of keep-out zones, edges and earlier arrangements
  int repeats = 0;     // whole units in a row
  int rows = 1;
  double gap_mm = 0.0;           // true gap between neighbours in a row
  double gap_finished_mm = 0.0;  // the same on the finished piece
  double row_gap_mm = 0.0;       // true gap between rows; 0 for one row
  double end_gap_mm = 0.0;       // flat faces: from the edge to the first and from the last motif
  double seam_error_mm = 0.0;    // largest difference between gaps, as the numbers are written
  double coverage = 0.0;         // silhouettes over face area, 0 to 1
  std::optional<SpacingQuality> spacing;  // style scatter
  std::vector<std::string> notes;         // sizes, gaps and shrinkage in words, one line each
  std::vector<std::string> warnings;
};

struct PlacedFace {
  Face face;  // as measured
  double transfer_from_measured = 1.0;
  Surface surface;  // when the lines go on
  std::vector<Placement> placements;
  std::vector<FitReport> reports;  // one an arrangement of this face
  double coverage = 0.0;           // all its arrangements
};

struct ArrangeOptions {
  double least_gap_mm = 0.8;  // neighbours never come closer; [0, 50]
  LineTool tool;              // what draws the lines, and the white it must leave between them

  void validate() const;  // throws OptionError
};

struct Arranged {
  std::vector<PlacedFace> faces;  // in their order, those without an arrangement included
  // As given, and behind them the motifs that came from cutting copies behind others.
  std::vector<Motif> motifs;
};

Arranged arrange(const std::vector<Face>& faces,
                 const std::vector<Arrangement>& arrangements,
                 const std::vector<Motif>& motifs,
                 const Clay& clay,
                 const ArrangeOptions& options = {});

}  // namespace underdraw
