// Thin straight marks followed across a page from strip to strip.
//
// Stage:   scan, internal to find_ruling. Pure.
// In/out:  the coarse page; positions in coarse px, pixel corners at whole numbers.
#pragma once

#include <vector>

#include "scan/paper_light.h"

namespace underdraw {

// The coarse page cut into narrow strips that lie across the direction in which lines are sought.
struct Strips {
  bool down = false;       // lines sought run from top to bottom
  double strip = 1.0;      // coarse px along the lines
  double px_per_mm = 1.0;  // coarse
  int length = 0;          // coarse px across the lines
  // Of each strip, in order: where thin marks cross it.
  std::vector<std::vector<double>> marks;
  std::vector<bool> paper;  // strips that are paper and not the dark lid around it

  int count() const { return static_cast<int>(marks.size()); }
};

Strips cut_strips(const PaperLight& light, double px_per_mm, bool down);

// A mark that goes on from strip to strip.
struct Chain {
  std::vector<int> strip;    // ascending
  std::vector<double> at;    // coarse px, as long as `strip`
  std::vector<double> path;  // smooth, one value for every strip of the page
  double wobble = 0.0;       // typical distance of `at` from `path`, coarse px

  int first() const { return strip.front(); }
  int last() const { return strip.back(); }
  double filled() const {
    return static_cast<double>(strip.size()) / static_cast<double>(last() - first() + 1);
  }
};

// Chains of at least `shortest` strips' length, with gaps where something else is in the way.
std::vector<Chain> follow_chains(const Strips& strips, int shortest);

// Fills `path` and `wobble` from the points.
void smooth_chain(Chain& chain, int strip_count);

}  // namespace underdraw
