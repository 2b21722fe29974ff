// A small part of one picture of a face looked for in another by its brush marks and lines.
//
// Stage:   recover, internal to find_shifts.cpp and turn_between.cpp.
// Frames:  px of both pictures, which have one scale.
// Source:  normalised cross-correlation with a parabola through its top: any textbook of image
//          processing.
#pragma once

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

// Fine marks only, whatever the light: a logarithm less its wide mean. `tone` is CV_32FC1, 0 to 1.
cv::Mat fine_marks(const cv::Mat& tone, double px_per_mm);

struct PatchMatch {
  Vec2 shift_px;       // of the patch from the middle of `around`
  double like = 0.0;   // 1: the same; 0 also where the best may lie outside
  double other = 0.0;  // at the best place away from it
};

PatchMatch match_patch(const cv::Mat& patch, const cv::Mat& around, double px_per_mm);

}  // namespace underdraw
