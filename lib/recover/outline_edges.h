// Edges of a photo across the outline of a piece, and which of them is the piece's own.
//
// Stage:   recover, internal to fit_standing.cpp.
// Frames:  offsets along an outline's outward normal in mm at the piece, above 0 outside.
// How:     an edge counts by how unlike its two sides are and how like the piece its inner side is;
//          its place is where the light is half way between them.
// Source:  own construction.
#pragma once

#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "recover/find_outline.h"

namespace underdraw {

struct OutlineEdges {
  double reach_mm = 0.0;  // offsets run from -reach to reach
  double step_mm = 0.1;
  std::vector<float> score;      // 0 no edge to 1, by offset
  int margin = 0;                // more lights than scores, at each end
  std::vector<cv::Vec3f> light;  // linear
};

OutlineEdges edges_across(const cv::Mat& picture, const OutlinePlace& place, double reach_mm);

// Offset of the strongest edge, near ones first; nothing where there is none.
std::optional<double> edge_near(const OutlineEdges& edges, double gate_mm);

}  // namespace underdraw
