// Which pixels are ink: half as dark as the line they belong to, so that a faint line is as wide
// as a dark one and two close lines stay two.
//
// Stage:   trace. Pure.
// In/out:  a density image of scan/ink_density.h; masks of its size.
// Source:  own construction: local half-height threshold with hysteresis.
#pragma once

#include <opencv2/core.hpp>

namespace underdraw {

// Least contrast with the paper beside it, 1 - darkness there / darkness inside, that drawn ink
// has; what fades more softly is a smudge, a fold or a shadow.
constexpr double kLeastContrast = 0.45;

struct InkMaskOptions {
  double px_per_mm = 11.8;  // > 0
  double noise = 0.01;      // standard deviation of the density on bare paper, page px
  double lightest = 0.07;   // faintest density that counts as ink
  double half = 0.42;       // share of the line's own darkness at its edge
  double reach_mm = 0.3;    // how far a line's own darkness is looked for
};

struct InkMask {
  cv::Mat smooth;  // CV_32FC1, density with the paper's grain evened
  cv::Mat ink;     // CV_8UC1, 0 or 1; the outermost pixels are 0
};

// `density` has a border of at least two px of paper.
InkMask find_ink(const cv::Mat& density, const InkMaskOptions& options);

}  // namespace underdraw
