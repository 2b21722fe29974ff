// Reads the ink across a line whose place is nearly known: how far aside the middle of the ink
// lies, and how wide it is.
//
// Stage:   trace. Pure.
// In/out:  px of the density image, pixel centres at +0.5; places about a pixel apart.
// Source:  own construction. The ink is laid out straight along the line; floor, edges and width
//          are read on the mean of a short stretch, which graphite's crumbs disturb little, and
//          the middle is each row's own centroid, so that rows err independently.
#pragma once

#include <algorithm>
#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "geometry/vec2.h"

namespace underdraw {

// A place on a line as it is thought to run.
struct LinePlace {
  Vec2 at;
  Vec2 along;          // unit, direction of travel
  double width = 0.0;  // px of the pen, as far as known; > 0
  // Where other ink begins to the left (-perpendicular) and to the right of the line, px from it;
  // none: nothing near. Within half the pen's width the two inks are one.
  std::optional<double> left;
  std::optional<double> right;
  double light = 0.0;  // share of the width that is missing where the pen lands or lifts; [0, 1)

  // How far from it, px, its ink is sought: neighbours beyond do not matter.
  double reach() const { return 0.5 * width + 2.0 + 0.3 * std::max(0.0, width - kBroadPx); }

  bool left_free() const { return !left || *left > touching(); }
  bool right_free() const { return !right || *right > touching(); }

 private:
  // px; a line wider than this is a brush's. Its width is less known at first, and changes more.
  static constexpr double kBroadPx = 9.0;
  double touching() const { return 0.5 * width + 0.6; }  // px; nearer ink cannot be told apart
};

struct LineReading {
  double aside = 0.0;   // px from the place along perpendicular(along) to the ink's middle
  double weight = 0.0;  // what it counts for: about 1 on a good line, 0 where nothing can be read
  double width = 0.0;   // px of the ink; 0 where it cannot be read
  double depth = 0.0;   // density of the line above that of the lightest place beside it
};

struct MeasureLineOptions {
  double stretch_px = 4.0;  // floor, edges and width are read over this far to either side; >= 0
  bool ring = false;
};

// One reading a place.
std::vector<LineReading> measure_line(const cv::Mat& smooth,
                                      const std::vector<LinePlace>& places,
                                      const MeasureLineOptions& options);

}  // namespace underdraw
