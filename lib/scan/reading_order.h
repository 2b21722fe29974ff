// Puts boxes in the order in which a person reads them: rows from top to bottom, each from left to
// right, though rows are seldom level and never straight.
//
// Stage:   scan. Pure.
// In/out:  boxes in any px; places in the given list.
// Source:  after G. Nagy, S. Seth, "Hierarchical representation of optically scanned documents",
//          ICPR 1984 (rows and columns by turns), with rows found by what stands level, on a slope.
#pragma once

#include <cstddef>
#include <vector>

#include <opencv2/core.hpp>

namespace underdraw {

std::vector<std::size_t> reading_order(const std::vector<cv::Rect>& boxes);

}  // namespace underdraw
