// Draws strokes and areas as exact pixel coverage: the clean picture that a tracer should undo.
//
// In/out:  linework in the page frame, mm, in; pixels whose centres lie at (0.5, 0.5) out.
// Source:  own construction. A stroke's edge is taken as straight within one pixel, so a straight
//          edge is exact and one of radius r px is out by at most about 1 / (8 r) px.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "geometry/linework.h"

namespace underdraw::test {

// A pixel close to a stroke, as seen from the nearest point of its path.
struct NearPixel {
  int x = 0;
  int y = 0;
  double off_px = 0.0;    // from the path to the pixel's centre; >= 0
  double along_px = 0.0;  // length of path up to the nearest point
  Vec2 away;              // unit vector from the path to the pixel's centre
};

// Every pixel of a picture of that size whose centre is within reach of the path, once each.
std::vector<NearPixel> pixels_near(const Path& path_px, double reach_px, cv::Size size);

// Share of a pixel that lies within half_width_px of the path, seen through a lens that spreads
// every point by blur_px (standard deviation) before the pixels are read.
double covered_share(const NearPixel& pixel, double half_width_px, double blur_px = 0.0);

// How far beyond a stroke's edge covered_share can differ from 0.
double coverage_reach_px(double blur_px = 0.0);

// CV_32FC1 share of each pixel inside the rings, even-odd.
cv::Mat area_coverage(const Area& area_px, cv::Size size);

// CV_8UC1, black on white, each stroke at its own width, nothing else.
cv::Mat draw_clean(const Linework& lines_mm, double px_per_mm, cv::Size size);

}  // namespace underdraw::test
