// Style scatter: an arrangement's motifs strewn over what is free of a face.
//
// Stage:   repeat. Pure.
// In/out:  as lay_rows.h, and what must be kept clear of: zones, and outlines of earlier
//          arrangements. Gaps are between the drawn outlines.
// Refuses: a face where nothing fits (GeometryError).
#pragma once

#include <vector>

#include "repeat/lay_rows.h"
#include "repeat/scatter.h"
#include "repeat/spacing_quality.h"

namespace underdraw {

LaidCopies lay_scatter(const RepeatJob& job,
                       const Surface& surface,
                       const std::vector<ScatterObstacle>& obstacles);

// How evenly the copies came out over what is free of the face.
SpacingQuality scatter_quality(const RepeatJob& job,
                               const Surface& surface,
                               const std::vector<LaidCopy>& copies,
                               const std::vector<ScatterObstacle>& obstacles);

// The same in words, one line each.
std::vector<std::string> quality_words(const SpacingQuality& quality);

}  // namespace underdraw
