// Reads every line again along its fitted curve, knowing where the other lines run, and fits it to
// what was read.
//
// Stage:   trace. Pure.
// In/out:  px of the density image.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "geometry/path.h"
#include "trace/fit_cubics.h"

namespace underdraw {

// A line as a curve, with the pen along it.
struct FittedStroke {
  Path path;
  double width = 0.0;          // px, mean
  double depth = 0.0;          // how much darker it is than the paper beside it, median
  std::vector<double> widths;  // px, at equal steps of length, both ends included; may be empty
};

struct PolishOptions {
  double px_per_mm = 11.8;  // > 0
  double tolerance = 0.35;  // px, as in FitOptions; > 0
};

// Rough curves only say where the lines run, to whoever reads them again.
enum class Closeness { rough, fine };

// How closely a line of that width, px, is followed: the middle of a broad brush line is less sure
// than that of a pencil line.
FitOptions fit_for_pen(double width, Closeness closeness, const PolishOptions& options);

void polish_strokes(std::vector<FittedStroke>& strokes,
                    const cv::Mat& smooth,
                    Closeness closeness,
                    const PolishOptions& options);

}  // namespace underdraw
