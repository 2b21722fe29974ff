// One page as pixels, with its resolution.
//
// Stage:   scan. Pure: lib/io reads files into it.
// Frame:   page: origin at the image's top left corner, x right, y down. A pixel's corner is
//          (0, 0) and its centre (0.5, 0.5); mm = px / px_per_mm.
#pragma once

#include <string>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

struct Page {
  cv::Mat grey;              // CV_8UC1, 0 black to 255 white, upright as a person sees it
  cv::Mat tint;              // CV_8UC3, red, green, blue, at a lower resolution; empty if grey
  double tint_shrink = 1.0;  // px of `grey` per px of `tint`, from the same corner
  double px_per_mm_x = 0.0;  // > 0
  double px_per_mm_y = 0.0;  // > 0
  std::string file;          // where it came from, for messages
  int number = 1;            // 1-based page in that file

  double width_mm() const { return grey.cols / px_per_mm_x; }
  double height_mm() const { return grey.rows / px_per_mm_y; }
  double dpi() const { return 25.4 * std::sqrt(px_per_mm_x * px_per_mm_y); }
  Vec2 mm_from_px(Vec2 px) const { return {px.x / px_per_mm_x, px.y / px_per_mm_y}; }
  Vec2 px_from_mm(Vec2 mm) const { return {mm.x * px_per_mm_x, mm.y * px_per_mm_y}; }
};

}  // namespace underdraw
