// From thinned ink to the lines that a hand drew: refined, joined through meetings, with corners.
//
// Stage:   trace. Pure.
// In/out:  px of the density image.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"
#include "trace/stroke_graph.h"

namespace underdraw {

struct StrokeLine {
  std::vector<Vec2> points;          // px, along the middle of the ink
  std::vector<double> weights;       // 1 where measured, near 0 where guessed through a meeting
  std::vector<std::size_t> corners;  // indices where the line turns sharply
  bool closed = false;               // the last point joins the first
  double width = 0.0;                // px, median over the line
};

// `smooth` is the density that the ink was found in.
std::vector<StrokeLine> follow_strokes(StrokeGraph graph, const cv::Mat& smooth, double px_per_mm);

}  // namespace underdraw
