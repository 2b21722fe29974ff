// The six drawings of the harbour town as motifs.
#pragma once

#include <vector>

#include "motif/motif.h"
#include "sketches.h"

namespace underdraw::test {

inline std::vector<Motif> harbour_motifs() {
  std::vector<Motif> motifs;
  for (const harbour::NamedSketch& sketch : harbour::all_sketches()) {
    motifs.push_back(make_motif(sketch.name, sketch.lines));
  }
  return motifs;
}

}  // namespace underdraw::test
