// A photo of a piece on its mat with all that is known about it.
//
// Stage:   recover. Pure.
// Frames:  see photo/camera.h. Copies share the picture's pixels.
#pragma once

#include <string>

#include <opencv2/core.hpp>

#include "photo/camera.h"

namespace underdraw {

struct FacePhoto {
  std::string name;
  cv::Mat picture;  // CV_8UC3, blue green red, as the sensor saw it
  Camera camera;
  CameraPose pose;
  double blur_px = 0.7;  // one sigma, of edges at the mat's marks
};

}  // namespace underdraw
