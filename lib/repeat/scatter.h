// Motifs strewn over a face: evenly, in no rows, big ones first and small ones between them.
//
// Stage:   repeat. Pure: the same arguments give the same result on every run.
// In/out:  outlines in mm at the stage when the lines go on, centred on the motif's ink box;
//          places as face points, rounded as written (repeat/lay_rows.h).
// Holds:   no two outlines closer than the gap on the surface, none closer to an edge or an
//          obstacle than asked: checked on the outlines themselves after rounding. What cannot be
//          held is left out and counted.
// Refuses: options outside their ranges (OptionError); a face where nothing fits (GeometryError).
// Source:  own construction from published ideas: the largest empty spots are filled first
//          (farthest points); shapes push each other apart (see repeat/scatter_crowd.h); what
//          stays in the way is moved to where there is room (guided relocation in the manner of
//          arXiv:2509.13329); even gaps after S. Hiller, H. Hellwig, O. Deussen, Beyond Stippling,
//          CGF 22 (2003).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "geometry/outline.h"
#include "motif/motif.h"
#include "piece/surface.h"
#include "repeat/scatter_ground.h"

namespace underdraw {

// A motif and the sizes it may have. Of several sizes the smaller are placed more often: the ink of
// a size is in proportion to its scale.
struct ScatterKind {
  Rings outline;        // silhouette at scale 1
  double weight = 1.0;  // share of copies among the kinds; (0, 1000]
  std::vector<double> scales = {1.0};
  bool mirror = true;  // copies may be mirrored
};

struct ScatterOptions {
  double gap_mm = 5.0;                   // least between two outlines; [0, 500]
  double edge_mm = 2.0;                  // least to the face's edges; [0, 500]
  std::optional<double> coverage;        // ink over face, (0, 0.95]; nothing: as dense as it goes
  std::optional<double> turn_limit_deg;  // turned at most this far either way; [0, 180]
  std::uint64_t seed = 1;
  int effort = 1;  // times the usual search; [1, 100]

  void validate() const;  // throws OptionError
};

struct ScatterCopy {
  int kind = 0;
  Change change;
  FacePoint at;  // of the middle of the motif's ink box
};

struct ScatterReport {
  double coverage = 0.0;         // silhouettes over the face's area
  double smallest_gap_mm = 0.0;  // between outlines, on the surface; 0 for fewer than two copies
  int left_out = 0;              // copies that would have broken the gap in the end
  int same_neighbours = 0;       // copies whose nearest neighbour is of their own kind
  std::vector<std::string> warnings;
};

struct Scattering {
  std::vector<ScatterCopy> copies;  // large ones first
  ScatterReport report;
};

Scattering scatter(const Surface& surface,
                   const std::vector<ScatterObstacle>& obstacles,
                   const std::vector<ScatterKind>& kinds,
                   const ScatterOptions& options = {});

}  // namespace underdraw
