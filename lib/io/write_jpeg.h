// A picture as the bytes of a JPEG file.
//
// Stage:   io. Bytes come back. The same picture gives the same bytes.
// Refuses: an empty picture, sides above 65,500 px (OutputError); quality outside [1, 100].
// Source:  ITU-T T.871 (JFIF), by libjpeg.
#pragma once

#include <string>

#include <opencv2/core.hpp>

namespace underdraw {

// `bgr` is CV_8UC3.
std::string jpeg_of_picture(const cv::Mat& bgr, int quality = 85);

}  // namespace underdraw
