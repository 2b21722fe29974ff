// How much darker than bare paper each pixel is: 0 paper, 1 black.
//
// Stage:   scan. Pure.
// In/out:  a rectangle of page pixels; the result has that rectangle's size.
#pragma once

#include <opencv2/core.hpp>

#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

// CV_32FC1, 1 - grey / light, not clipped below 0 so that noise stays centred on 0. `window` lies
// inside the page.
cv::Mat ink_density(const Page& page, const PaperLight& light, const cv::Rect& window);

}  // namespace underdraw
