// Which drawn junctions were traced as such, and what became of the crossings.
//
// In/out:  two sides of one page; what counts as what is said in score_page.h.
#pragma once

#include <vector>

#include "accuracy/fault.h"
#include "accuracy/line_cover.h"
#include "accuracy/page_side.h"

namespace underdraw::test {

struct JunctionScore {
  int junctions = 0;
  int found = 0;
  int false_ones = 0;
  int crossings = 0;
  int split = 0;
  int uncut = 0;
  std::vector<Fault> faults;
};

JunctionScore judge_junctions(const PageSide& drawn,
                              const PageSide& traced,
                              const LineCover& cover);

}  // namespace underdraw::test
