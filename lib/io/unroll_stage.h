// The faces of a piece as the kept photos of one stage show them.
//
// Stage:   io, internal to it: joins pose_stage.h to what the recover stage makes of posed photos.
// Photos:  of a face are those kept with --face of its name; those kept without show the first
//          face.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "io/pose_stage.h"
#include "recover/unroll.h"
#include "repeat/arrange.h"

namespace underdraw {

struct StageFace {
  std::vector<std::size_t> photos;  // of the stage, that are of this face
  UnrolledFace unrolled;

  const Unrolled& picture() const { return unrolled.picture; }
  const FaceStanding& stands() const { return unrolled.fit.standing; }
};

struct StageFaces {
  StagePhotos photos;
  std::vector<std::optional<StageFace>> faces;  // in their order; nothing: no photos of it
};

// `sizes`: what the piece may have shrunk to, see Clay::sizes_from_transfer.
StageFaces unroll_stage(StagePhotos photos,
                        const std::vector<PlacedFace>& placed,
                        const std::vector<double>& sizes,
                        const Progress& progress = {});

// The face as if the piece stood turned by a whole number of its picture's columns, close to `deg`,
// less. Returns that turn.
double turn_back(StageFace& face, double deg);

}  // namespace underdraw
