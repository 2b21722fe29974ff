// How wide the pen was along a line.
//
// Stage:   trace. Pure.
// In/out:  px of the density image; points about a pixel apart on the middle of the ink.
// Source:  own construction: full width at half darkness of the ink's profile, averaged over a
//          short stretch of line, because graphite leaves no clean profile at any one place.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

struct MeasureWidthOptions {
  double stretch_px = 6.0;  // averaged this far to either side; >= 0
};

// One width a point, px. `radius` is half the ink's width as the mask saw it.
std::vector<double> measure_width(const cv::Mat& smooth,
                                  const std::vector<Vec2>& points,
                                  const std::vector<double>& radius,
                                  bool ring,
                                  const MeasureWidthOptions& options = {});

}  // namespace underdraw
