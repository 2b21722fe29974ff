// Two photos laid over each other by spots that a person tapped in both.
//
// Stage:   recover. Pure.
// In/out:  px of two upright photos, as in view_map.h.
// How:     a homography; from 8 points on a bend as well, as stiff as makes left-out points come
//          out best. Trusted is what lies between the points. Each point is left out in turn: where
//          the others say it should be tells how good the map is, and which point was mistapped.
// Refuses: fewer than 4 points, points on one line, points that no view has (InputError; `file` is
//          the caller's to add).
// Source:  as view_map.h; leaving one out: M. Stone, Cross-validatory choice, J. R. Stat. Soc. B 36
//          (1974); residuals that know how much a point has its own way: D. Belsley and others,
//          Regression Diagnostics (1980), ch. 2.
#pragma once

#include <string>
#include <vector>

#include "recover/view_map.h"

namespace underdraw {

struct PointsView {
  ViewMap map;
  std::vector<double> left_out_px;  // of each point; empty with 4, of which none can be spared
  double left_out_median_px = 0.0;
  std::vector<std::size_t> doubtful;  // points that the others put elsewhere
};

PointsView map_by_points(const std::vector<SpotPair>& points, cv::Size before, cv::Size after);

}  // namespace underdraw
