// What an image shows between its pixels.
//
// Stage:   trace. Pure.
// In/out:  CV_32FC1; px, pixel centres at +0.5.
#pragma once

#include <algorithm>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

// Bilinear value at a place; outside the image the nearest pixel counts.
inline float value_at(const cv::Mat& image, Vec2 at) {
  const double x = std::clamp(at.x - 0.5, 0.0, image.cols - 1.001);
  const double y = std::clamp(at.y - 0.5, 0.0, image.rows - 1.001);
  const int ix = static_cast<int>(x);
  const int iy = static_cast<int>(y);
  const float fx = static_cast<float>(x - ix);
  const float fy = static_cast<float>(y - iy);
  const float* a = image.ptr<float>(iy) + ix;
  const float* b = image.ptr<float>(iy + 1) + ix;
  const float top = a[0] + fx * (a[1] - a[0]);
  const float bottom = b[0] + fx * (b[1] - b[0]);
  return top + fy * (bottom - top);
}

}  // namespace underdraw
