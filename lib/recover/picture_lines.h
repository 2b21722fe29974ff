// The lines in a picture of known scale: drawn with graphite or ink on clay or on brushwork.
//
// Stage:   recover, internal to read_lines.cpp and lines_between.cpp.
// Frames:  px, a pixel's corner is (0, 0).
// How:     each place against the median of the coat around it, which brush marks follow and lines
//          do not; then the trace stage's own way from ink to lines (trace/ink_mask.h, thin.h,
//          follow_strokes.h).
// Source:  own construction.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "recover/find_ridges.h"

namespace underdraw {

struct PictureLine {
  std::vector<Vec2> px;       // closed ones end where they begin
  std::vector<double> depth;  // of each point: how much darker than the coat beside it; 1 black
  double width_px = 0.0;
};

struct PictureDot {
  Vec2 px;
  double width_px = 0.0;
  double depth = 0.0;
};

struct PictureLines {
  std::vector<PictureLine> lines;
  std::vector<PictureDot> dots;
  std::vector<Ridge> ridges;
  double noise = 0.0;  // of the coat between lines, as depth
};

struct PictureLinesOptions {
  double px_per_mm = 10.0;
  double line_mm = 0.6;      // width of what drew the lines
  double least_depth = 0.1;  // fainter is taken for the coat
  double odd_width = 3.0;    // times wider or narrower than line_mm is no line
  double edge_mm = 0.3;      // beside what was not seen nothing is read
};

// `light` is CV_32FC1; `seen` is CV_8UC1, 0 where nothing was.
PictureLines read_picture_lines(const cv::Mat& light,
                                const cv::Mat& seen,
                                const PictureLinesOptions& options);

}  // namespace underdraw
