// Where two crossing edges of a chequered pattern meet, to a few hundredths of a pixel.
//
// Stage:   photo. Pure.
// Frame:   photo, px, a pixel's corner is (0, 0).
// How:     least squares of a blurred saddle, with the light's slope, over the pixels along both
//          edges. Blur and tone curve change both sides of the meeting alike, so they do not move
//          it.
// Source:  own construction; Gauss-Newton with Levenberg's damping.
#pragma once

#include <optional>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

struct SaddleGuess {
  Vec2 px;
  Vec2 px_per_right, px_per_up;  // px for 1 mm to the right and upward on the mat, there
  double edge_mm = 5.0;          // how far the edges run each way
  double beside_mm = 1.0;        // how far beside them nothing else is printed
  bool rising = false;           // the fields up right and down left are the dark ones
  double reach_px = 6.0;         // the guess may be this far off
};

struct SaddleFit {
  Vec2 px;
  double sd_px = 0.0;     // of each coordinate, from the noise around it
  double contrast = 0.0;  // light minus dark, grey levels
  double blur_px = 0.0;   // standard deviation of the edges
};

// Nothing where there is no such saddle: hidden, in glare, outside the photo, too flat or too
// blurred.
std::optional<SaddleFit> find_saddle(const cv::Mat& grey, const SaddleGuess& guess);

}  // namespace underdraw
