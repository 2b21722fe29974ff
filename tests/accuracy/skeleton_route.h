// The plain way to lines: a threshold, a skeleton one pixel wide, and polylines along its pixels.
// It is what tracing is compared with.
//
// In/out:  a page in; linework in the page frame, mm.
// Source:  N. Otsu, IEEE Trans. Systems, Man, and Cybernetics 9 (1979), after the page is divided
//          by its paper's brightness (a grey closing at 1/4 scale) and small specks are dropped;
//          T. Y. Zhang, C. Y. Suen, Comm. ACM 27 (1984), as cv::ximgproc::thinning; D. Douglas,
//          T. Peucker, Cartographica 10 (1973), as cv::approxPolyDP, 0.7 px.
#pragma once

#include "geometry/linework.h"
#include "scan/page.h"

namespace underdraw::test {

// False where the library that thins was not there when this was built.
bool has_skeleton_route();

// Each stretch of skeleton between two branchings or ends is one stroke, at its mean width; a
// stretch below 0.4 mm that meets nothing is a dot.
Linework skeleton_route(const Page& page);

}  // namespace underdraw::test
