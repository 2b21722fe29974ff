// The mat's marks in a photo: which mat it is, and where its saddle corners are.
//
// Stage:   photo. Pure.
// Frames:  photo, px, a pixel's corner is (0, 0), as the sensor saw it: whether the photo was
//          turned upright does not matter. Mat: mm, see photo/camera.h.
// Refuses: a photo without marks, with too few of them, of another mat than expected, or whose
//          marks do not lie as this program prints them (InputError that names the photo).
// How:     codes are read, the ones that no plane seen through a lens would show there are dropped,
//          and each saddle is then looked for where the rest say it is: marks that are half hidden
//          or too blurred to read still give theirs.
// Source:  codes: see photo/mat.h; consensus: M. Fischler, R. Bolles, Random sample consensus,
//          CACM 24 (1981).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "photo/mat.h"

namespace underdraw {

struct FoundCorner {
  std::size_t saddle = 0;  // in MatLayout::saddles
  Vec2 mat;
  Vec2 px;
  double sd_px = 0.0;
};

struct FoundMarks {
  std::string photo;
  int width_px = 0, height_px = 0;
  const MatLayout* mat = nullptr;
  std::size_t codes_read = 0;
  std::vector<FoundCorner> corners;
  double blur_px = 0.0;    // of the edges at the corners, median
  double px_per_mm = 0.0;  // at the corners, median
};

struct FindMarksOptions {
  std::string photo = "photo";          // named in messages
  const MatLayout* expected = nullptr;  // nothing: whichever mat is seen
  std::size_t least_corners = 8;        // [6, 100]

  void validate() const;  // throws OptionError
};

// `grey` is CV_8UC1.
FoundMarks find_marks(const cv::Mat& grey, const FindMarksOptions& options = {});

}  // namespace underdraw
