// How bright the bare paper is at every place of a page, ink or no ink.
//
// Stage:   scan. Pure.
// In/out:  page pixels; the light is kept on a coarse grid and read between its points.
// Source:  own construction: grey closing (brightest paper within reach) of a coarse copy, evened.
#pragma once

#include <opencv2/core.hpp>

#include "scan/page.h"

namespace underdraw {

struct PaperLightOptions {
  double reach_mm = 10.0;  // ink up to twice this thick does not darken the paper; [1, 50]
};

// The page at about 150 dpi, the paper's light there, and how much the paper itself varies.
struct PaperLight {
  int shrink = 1;      // page px per coarse px, a whole number
  cv::Mat grey;        // CV_8UC1, coarse: area averages of the page
  cv::Mat light;       // CV_32FC1, coarse: grey value of bare paper, > 0
  double noise = 0.0;  // robust standard deviation of 1 - grey / light on bare paper, coarse px
};

// The same light of any one plane of a coarse page, such as its red: CV_8UC1 in, CV_32FC1 out.
cv::Mat plane_light(const cv::Mat& plane, double px_per_mm, const PaperLightOptions& options = {});

PaperLight paper_light(const Page& page, const PaperLightOptions& options = {});

}  // namespace underdraw
