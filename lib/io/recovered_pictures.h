// Pictures of recovered lines: over the later photos, on the unrolled faces, and on the page for
// the bench.
//
// Stage:   io, internal to recover_piece.cpp.
#pragma once

#include <string>
#include <vector>

#include "io/make_piece.h"
#include "io/recover_piece.h"
#include "io/unroll_stage.h"

namespace underdraw {

// Both stages as they came from their photos; `after` is null without a later stage.
struct RecoveredStages {
  const StageFaces& before;
  const StageFaces* after = nullptr;
};

// "overlays/….png", "unrolled/….jpg" and "bench.html".
void write_recovered_pictures(const RecoverResult& result,
                              const RecoveredStages& stages,
                              const WriteFile& write,
                              const Progress& progress = {});

}  // namespace underdraw
