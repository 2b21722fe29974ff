// How well traced lines agree with the lines that were drawn.
//
// In/out:  linework in one frame, mm.
#pragma once

#include "geometry/linework.h"

namespace underdraw::test {

struct LineAgreement {
  double recall = 0.0;     // share of the true length with a traced line within `reach_mm`
  double precision = 0.0;  // share of the traced length with a true line within `reach_mm`
  double rms_mm = 0.0;     // of the distances from the traced to the true lines, where within reach
  double worst_mm = 0.0;   // largest distance from a traced line to a true one
};

// Both sides are sampled every 0.05 mm.
LineAgreement compare_lines(const Linework& traced, const Linework& truth, double reach_mm = 0.15);

}  // namespace underdraw::test
