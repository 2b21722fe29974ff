// A page of pixels as an office scanner hands it over: PNG, or PDF.
//
// In/out: an 8-bit page in, grey or (PNG only) BGR; the file's bytes out. The same page gives the
// same bytes.
#pragma once

#include <string>

#include <opencv2/core.hpp>

namespace harbour {

// Resolution in its pHYs chunk; zlib's compression, 1 fast to 9 small.
std::string png_of_page(const cv::Mat& pixels, double dpi, int compression = 9);

// One page of exactly pixels / dpi inches that holds the same pixels without loss.
std::string pdf_of_page(const cv::Mat& grey, double dpi, const std::string& title);

}  // namespace harbour
