// Recovered lines drawn over a photo, with their numbers and a legend.
//
// Stage:   io. Pure (PNG bytes come back) but for the font.
// In/out:  an upright photo and lines in its px; the picture is at most `longest_px` on its longer
//          side, the legend below it not counted.
// Shows:   covered lines solid, lines still seen dashed; cased in white, so that they stand out on
//          any coat, in a blue that people with common kinds of colour blindness tell from coats
//          and casing by lightness alone.
#pragma once

#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "recover/photo_line.h"

namespace underdraw {

struct OverlayOptions {
  std::string title = {};  // "20260503-141522-covered-3fa9c1d2.jpg"
  bool seen_too = false;   // draw lines that the photo still shows as well
  bool legend = true;      // false: of a picture in which nothing is covered
  int longest_px = 2000;   // [200, 8000]

  void validate() const;  // throws OptionError
};

// `bgr` is CV_8UC3.
std::string png_of_overlay(const cv::Mat& bgr,
                           const std::vector<PhotoLine>& lines,
                           const OverlayOptions& options = {});

}  // namespace underdraw
