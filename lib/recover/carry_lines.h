// Lines that a photo before shows, drawn over the photo after.
//
// Stage:   recover. Pure.
// In/out:  upright photos, CV_8UC3, and a map between them (view_map.h) -> lines in px of the photo
//          after. Only where the map is trusted: elsewhere nothing is read and nothing is drawn.
// How:     picture_lines.h on the photo before. Photos without a mat have no scale: the lines' own
//          width is found first. What is covered is what no line of the photo after lies along.
// Refuses: options outside their ranges (OptionError).
// Source:  own construction.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "recover/photo_line.h"
#include "recover/view_map.h"

namespace underdraw {

struct CarryLinesOptions {
  int longest_px = 3200;     // of the pictures that are read; [500, 8000]
  double least_depth = 0.1;  // see ReadLinesOptions; [0.02, 0.9]
  double unsure_px = 2.0;    // by which the map may be off, px of the photo after; [0, 500]

  void validate() const;  // throws OptionError
};

struct CarriedLine {
  std::vector<Vec2> px;       // of the photo after; one point is a dot
  std::vector<bool> covered;  // of each point
};

struct CarriedLines {
  std::vector<CarriedLine> lines;
  double line_px = 0.0;  // width of the lines, px of the photo before
};

CarriedLines carry_lines(const cv::Mat& before,
                         const cv::Mat& after,
                         const ViewMap& map,
                         const CarryLinesOptions& options = {});

// The stretches that are covered and those that are not, for drawing.
std::vector<PhotoLine> photo_lines(const std::vector<CarriedLine>& lines);

}  // namespace underdraw
