// Thins ink to lines one pixel wide without cutting or closing anything.
//
// Stage:   trace. Pure.
// In/out:  CV_8UC1 masks of 0 and 1 whose outermost pixels are 0.
// Source:  distance-ordered homotopic thinning: C. Pudney, "Distance-ordered homotopic thinning: a
//          skeletonization algorithm for 3D digital images", CVIU 72 (1998). A pixel is taken when
//          that keeps the number of parts and holes (8-connected ink) and it ends no line.
#pragma once

#include <opencv2/core.hpp>

namespace underdraw {

struct Thinned {
  cv::Mat line;    // CV_8UC1, 0 or 1
  cv::Mat radius;  // CV_32FC1, px from each ink pixel's centre to the nearest paper
};

// Work grows with the number of ink pixels.
Thinned thin(const cv::Mat& ink);

}  // namespace underdraw
