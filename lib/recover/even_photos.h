// How much brighter each photo of a face is than all together, and where it shows glare.
//
// Stage:   recover, internal to fuse_photos.cpp.
// Frames:  px of one grid (recover/face_net.h), as wide as the whole face.
// In/out:  what photos show -> fields of the same size. Brightness is the logarithm of the tone, so
//          that a field is a factor.
// Source:  own construction.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

namespace underdraw {

struct CoarsePhoto {
  cv::Mat log_tone;  // CV_32FC3, blue green red
  cv::Mat white;     // CV_32FC1, 1 where the sensor was full, else 0
  cv::Mat weight;    // CV_32FC1, 0 not seen
};

struct EvenedPhoto {
  cv::Vec3f gain;  // log, of the whole photo
  cv::Mat field;   // CV_32FC3, log, to take away; the gain in it
  cv::Mat clear;   // CV_32FC1, 0 glare to 1 none
};

// Blurred where it has weight, through the seam of a round face.
cv::Mat smooth_where(const cv::Mat& values, const cv::Mat& weight, double sigma_px, bool round);

std::vector<EvenedPhoto> even_photos(const std::vector<CoarsePhoto>& photos,
                                     double px_per_mm,
                                     bool round);

}  // namespace underdraw
