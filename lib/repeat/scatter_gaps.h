// Gaps between copies as they really lie on the face, from their whole outlines.
//
// Stage:   repeat. Pure.
// Source:  distance of line segments, as in any textbook; both outlines are laid on the paper that
//          touches the face between them.
#pragma once

#include <vector>

#include "repeat/scatter_crowd.h"

namespace underdraw {

// The gap between two copies; 0 or below: they touch. Gaps beyond `beyond_mm` are given as this.
double gap_between(const Crowd& crowd,
                   const Surface& surface,
                   const CrowdCopy& a,
                   const CrowdCopy& b,
                   double beyond_mm);

// A copy's outline as face points.
std::vector<std::vector<FacePoint>> laid_outline(const Surface& surface,
                                                 const Rings& rings,
                                                 const CrowdCopy& copy);

}  // namespace underdraw
