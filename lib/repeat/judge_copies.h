// What a person should know about copies before they are printed: whether their paper lies flat on
// the wall, and whether their lines are too fine for the pen at the size chosen.
//
// Stage:   repeat. Pure.
// In/out:  placements in, with what was found written into them; words for the fit report out.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "motif/line_detail.h"
#include "repeat/placement.h"
#include "repeat/unit_of_copies.h"

namespace underdraw {

struct Verdict {
  std::vector<std::string> notes;
  std::vector<std::string> warnings;
};

// Strain, and darts where it is above the limit.
Verdict judge_creasing(const Surface& surface,
                       const MotifShapes& shapes,
                       std::span<Placement> placements);

// Of each motif, in their order.
std::vector<LineDetail> details_of(const std::vector<Motif>& motifs, const LineTool& tool);

Verdict judge_detail(const MotifShapes& shapes,
                     const std::vector<LineDetail>& details,
                     std::span<Placement> placements);

}  // namespace underdraw
