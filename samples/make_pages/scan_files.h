// A page of pixels as an office scanner hands it over: PNG, JPEG, or a PDF around that JPEG.
//
// In/out: an 8-bit grey page in; the file's bytes out. The same page gives the same bytes.
#pragma once

#include <string>

#include <opencv2/core.hpp>

namespace harbour {

std::string png_of_page(const cv::Mat& grey, double dpi);  // resolution in its pHYs chunk

std::string jpeg_of_page(const cv::Mat& grey, double dpi, int quality);

// One page of exactly pixels / dpi inches that holds the JPEG untouched.
std::string pdf_of_jpeg(const std::string& jpeg,
                        cv::Size size,
                        double dpi,
                        const std::string& title);

}  // namespace harbour
