// Tells the drawings on a page apart by the white space between them.
//
// Stage:   scan. Pure.
// In/out:  the coarse page of paper_light(); boxes in page px.
// Refuses: nothing; an empty page gives no sketches.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

struct FindSketchesOptions {
  double apart_mm = 5.0;     // drawings closer than this are one; [1, 100]
  double smallest_mm = 3.0;  // a longer side below this is a speck, not a drawing; > 0
  double lightest = 0.07;    // least density of ink, whatever the noise; (0, 1)
};

struct SketchRegions {
  // Coarse px, CV_32SC1: 0 no ink near, i + 1 near sketch i's ink.
  cv::Mat labels;
  std::vector<cv::Rect> boxes;  // of each sketch's ink, page px, inside the page
  double ink_share = 0.0;       // of the page's area
};

// In reading order: rows from top to bottom, each from left to right.
SketchRegions find_sketches(const Page& page,
                            const PaperLight& light,
                            const FindSketchesOptions& options = {});

}  // namespace underdraw
