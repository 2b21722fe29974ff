// The standing that most edges of all photos agree with: a start that no clutter leads astray.
//
// Stage:   recover, internal to fit_standing.cpp.
// In/out:  the outline as it would be, the edges across it -> shift and, by form, width, turn or
//          lift, in coarse steps.
// Source:  voting: P. Hough, US patent 3069654 (1962), in its common form.
#pragma once

#include <vector>

#include "recover/outline_edges.h"

namespace underdraw {

struct Voted {
  std::vector<double> values;  // of the unknowns
  double share = 0.0;          // of the best score that could be
  double wider = 0.0;          // relative, of a wall
};

Voted vote_standing(const Surface& surface,
                    const StandingUnknowns& unknowns,
                    const std::vector<OutlinePlace>& places,
                    const std::vector<OutlineEdges>& edges);

}  // namespace underdraw
