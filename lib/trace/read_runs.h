// A line put together from the parts of it that can be read: run on straight to where it ends on
// another line or turns sharply, since inside a blot the ink does not say.
//
// Stage:   trace. Pure.
// In/out:  px of the density image.
// Source:  own construction.
#pragma once

#include <cstddef>
#include <vector>

#include <opencv2/core.hpp>

#include "trace/measure_line.h"
#include "trace/stroke_places.h"

namespace underdraw {

// What fit_cubics needs.
struct ReadLine {
  std::vector<Vec2> points;
  std::vector<double> weights;
  std::vector<std::size_t> corners;
};

// Every line of a drawing, read where `places` say it runs; one list of readings and one result a
// line. Lines that end within a blot of each other end at one point.
std::vector<ReadLine> read_runs(const cv::Mat& smooth,
                                const std::vector<Places>& places,
                                const PlaceGrid& grid,
                                const std::vector<std::vector<LineReading>>& readings);

}  // namespace underdraw
