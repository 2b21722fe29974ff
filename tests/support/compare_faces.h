// How well recovered lines agree with the lines that were drawn on a face.
//
// In/out:  strokes in the face's frame (recover/recovered.h); distances in mm on the wall.
#pragma once

#include <functional>
#include <vector>

#include "piece/surface.h"
#include "recover/recovered.h"

namespace underdraw::test {

struct FaceAgreement {
  double recall = 0.0;     // share of the true length with a recovered line within reach
  double precision = 0.0;  // share of the recovered length with a true line within reach
  double median_mm = 0.0;  // from recovered to true lines, all recovered ones
  double p95_mm = 0.0;
  double truth_mm = 0.0;      // length that was asked for
  double recovered_mm = 0.0;  // length that came
};

// `wanted` says which true points count for recall; nothing: all. Both sides every 0.1 mm.
FaceAgreement compare_on_face(const Surface& surface,
                              const std::vector<RecoveredStroke>& recovered,
                              const std::vector<RecoveredStroke>& truth,
                              double reach_mm = 1.0,
                              const std::function<bool(FacePoint)>& wanted = {});

}  // namespace underdraw::test
