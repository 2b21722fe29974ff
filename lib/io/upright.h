// Pictures and points in them turned the way up that the file's orientation asks for.
//
// Stage:   io, internal to it. Pure.
// Source:  TIFF 6.0 and CIPA DC-008-2012 (Exif 2.3), tag Orientation (274): where the stored first
//          row and first column belong.
#pragma once

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

// orientation: 1 to 8; anything else counts as 1. May share pixels with `stored`.
cv::Mat upright(const cv::Mat& stored, int orientation);

// Where a point of the stored picture of that size comes to lie; px, a pixel's corner is (0, 0).
Vec2 upright_px(Vec2 stored, cv::Size stored_size, int orientation);

}  // namespace underdraw
