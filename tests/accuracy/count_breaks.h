// Hairs on the traced lines, and places where a drawn line was interrupted.
//
// In/out:  two sides of one page; what counts as what is said in score_page.h.
#pragma once

#include <vector>

#include "accuracy/fault.h"
#include "accuracy/line_cover.h"
#include "accuracy/page_side.h"

namespace underdraw::test {

struct BreakScore {
  int spurs = 0;
  int gaps = 0;
  std::vector<Fault> faults;
};

BreakScore count_breaks(const PageSide& drawn, const PageSide& traced, const LineCover& cover);

}  // namespace underdraw::test
