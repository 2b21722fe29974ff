// The copies that one repeat is made of: which motif, mirrored or turned, how large.
//
// Stage:   repeat. Pure.
// Refuses: motifs that there are none of, two heights for three motifs and the like (GeometryError
//          with the line of the piece file).
#pragma once

#include <string>
#include <vector>

#include "geometry/outline.h"
#include "motif/motif.h"
#include "piece/shrinkage.h"
#include "repeat/arrangement.h"

namespace underdraw {

// Motifs and what they cover, motif frame.
struct MotifShapes {
  explicit MotifShapes(const std::vector<Motif>& motifs);

  const std::vector<Motif>& motifs;
  std::vector<Rings> silhouettes;

  // Place in both of the motif of that name; how many there are when there is none.
  std::size_t index_of(const std::string& name) const;
};

// One member of the repeat, at the size that it has when the lines go on.
struct Copy {
  const Motif* motif = nullptr;
  const Rings* silhouette = nullptr;
  Change change;
  int storey = 0;  // friezes with two rows: 1 above, -1 below; 0: one row

  Copy times(double scale) const;  // the same copy, larger or smaller
  Rings shape() const;             // copy frame
  Box box() const;                 // of its ink, copy frame
};

// An arrangement with its lengths at the stage when the lines go on.
struct RepeatJob {
  const Arrangement& asked;
  std::vector<Copy> unit;
  double gap = 0.0;
  double row_gap = 0.0;
  double edge = 0.0;
  double transfer_from_finished = 1.0;
  double transfer_from_measured = 1.0;

  double tallest() const;  // of one storey
};

RepeatJob repeat_job(const Arrangement& asked, const MotifShapes& shapes, const Clay& clay);

constexpr std::size_t kMostCopies = 5000;  // above this nobody places by hand

// "the largest height that fits is 31.4", for sizes times `share`.
std::string height_that_fits(const RepeatJob& job, double share);

// A count that does not close: `step` copies at a time do.
[[noreturn]] void refuse_count(const Arrangement& asked, int step);

[[noreturn]] void refuse_arrangement(const Arrangement& asked,
                                     const std::string& found,
                                     std::string expected,
                                     std::string remedy);

}  // namespace underdraw
