// Pixels of a PNG in memory, such as a drawing's.
#pragma once

#include <string>

#include <opencv2/core.hpp>

namespace underdraw::test {

cv::Mat grey_of_png(const std::string& bytes);  // CV_8UC1

}  // namespace underdraw::test
