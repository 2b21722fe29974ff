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

// All lines of a drawing, to run on to each other.
struct ReadDrawing {
  const cv::Mat& smooth;
  const std::vector<Places>& places;
  const PlaceGrid& grid;
};

// `readings` are of the places of that stroke.
ReadLine read_runs(const ReadDrawing& drawing,
                   std::size_t stroke,
                   const std::vector<LineReading>& readings);

}  // namespace underdraw
