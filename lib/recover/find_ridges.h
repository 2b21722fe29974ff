// Places in a picture that are darker than what lies on both sides of them: points on lines, even
// where lines are so close that their ink runs together.
//
// Stage:   recover. Pure.
// In/out:  px, pixel centres at +0.5.
// Source:  C. Steger, An unbiased detector of curvilinear structures, PAMI 20 (1998): second
//          derivatives of the blurred picture; a point where the slope across them is zero.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

struct Ridge {
  Vec2 at;
  Vec2 along;           // unit
  float height = 0.0f;  // of the picture's bend across it, times sigma²: below a line's own depth
};

struct RidgeOptions {
  double sigma_px = 1.8;     // of the blur: about 0.3 of the line's width; > 0.5
  double times_noise = 5.0;  // what is lower than this many times the usual bend is none
  double least = 0.03;       // nor what is lower than this
};

// `depth` is CV_32FC1, larger on lines; only where `mask` (CV_8UC1) is not 0.
std::vector<Ridge> find_ridges(const cv::Mat& depth,
                               const cv::Mat& mask,
                               const RidgeOptions& options);

}  // namespace underdraw
