// The coded marks that can be read in a picture at one scale.
//
// Stage:   photo, internal to it.
// Frame:   photo, px, a pixel's corner is (0, 0).
// Source:  codes: see photo/mat.h.
#pragma once

#include <array>
#include <map>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

using Quad = std::array<Vec2, 4>;  // corners, from the top left of the code, clockwise on paper
using ReadCodes = std::map<int, Quad>;

// `grey` is CV_8UC1 and looked at as if it were this much larger or smaller; the corners are those
// of `grey`. A code that is seen twice is given once.
ReadCodes read_codes_at(const cv::Mat& grey, double scale_x, double scale_y);

}  // namespace underdraw
