// The outline of a coded mark to a few hundredths of a pixel.
//
// Stage:   photo, internal to it.
// Frame:   photo, px, a pixel's corner is (0, 0).
// How:     each of the four edges is a straight line through the places, across it, where the light
//          is half way between the mark's black rim and the paper; the corners are where these
//          lines meet. Blur and a tone curve move all four edges outward or inward alike, so a
//          mark's middle stays where it is.
// Source:  own construction; lines by least squares with the farthest places left out.
#pragma once

#include <opencv2/core.hpp>

#include "photo/read_codes.h"

namespace underdraw {

// `quad` as read_codes_at() gave it; as it is where an edge cannot be seen well enough.
Quad settled_quad(const cv::Mat& grey, const Quad& quad);

}  // namespace underdraw
