// Moves a thinned line onto the middle of the ink, to a small part of a pixel.
//
// Stage:   trace. Pure.
// In/out:  px of the density image, pixel centres at +0.5.
// Source:  own construction: centroid of the density's profile along the normal, stopped at the
//          valley towards a neighbouring line, evened along the line.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

struct RefinedLine {
  std::vector<Vec2> points;
  double edge_slope = 0.0;  // px over which its edges fade, median; 0: none was seen
  double contrast = 0.0;    // 1 - lightest place beside the line / its middle, median; 0 to 1
};

struct RefineOptions {
  double even_px = 1.5;  // spread (one sigma) of the evening along the line; > 0
};

// `points` about a pixel apart, `radius` half the ink's width at each; a ring closes on itself.
RefinedLine refine_line(const cv::Mat& smooth,
                        const std::vector<Vec2>& points,
                        const std::vector<double>& radius,
                        bool ring,
                        const RefineOptions& options);

// Gaussian smoothing along a line. A ring wraps; an open line is continued by turning it half a
// turn about its end, which leaves the end where it is.
std::vector<Vec2> evened_line(const std::vector<Vec2>& points, double sigma_points, bool ring);

}  // namespace underdraw
