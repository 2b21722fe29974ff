// What happens where lines meet: which arms run on into each other, and where the others end.
//
// Stage:   trace. Pure.
// In/out:  px; edges of a StrokeGraph whose points lie on the middle of the ink.
// Source:  own construction, on the arms of pair_arms.h.
#pragma once

#include <array>
#include <vector>

#include "trace/pair_arms.h"
#include "trace/stroke_graph.h"

namespace underdraw {

using EdgeArms = std::array<Arm, 2>;

// Settles every node of the graph. Edges that are only bridges inside a meeting are marked removed.
std::vector<EdgeArms> meet_arms(StrokeGraph& graph, const cv::Mat& smooth, double px_per_mm);

}  // namespace underdraw
