// Tells the drawings on a page apart, with their loose parts and the names written beside them.
//
// Stage:   scan. Pure.
// In/out:  the coarse page of paper_light(); boxes in page px.
// Refuses: nothing; an empty page gives no sketches.
// Doubt:   what could be an ornament is no caption, and what could be a drawing is left out of
// none.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "scan/captions.h"
#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

struct FindSketchesOptions {
  double apart_mm = 4.5;     // drawings closer than this are one; [1, 100]
  double smallest_mm = 3.0;  // a longer side below this is a loose mark, not a drawing; > 0
  double belongs = 2.2;    // times apart_mm that a much smaller part may lie off its drawing; >= 1
  double lightest = 0.07;  // least density of ink, whatever the noise; (0, 1)
  Captions captions = Captions::keep;
};

struct FoundCaption {
  cv::Rect box;                       // of its ink, page px
  std::optional<std::size_t> sketch;  // beside which it stands; none: a line by itself
};

struct SketchRegions {
  // Coarse px, CV_32SC1: 0 no ink near, i + 1 near the ink of box i.
  cv::Mat labels;
  // Of the ink, page px, inside the page: first the sketches, then the marks far from all of them.
  std::vector<cv::Rect> boxes;
  std::size_t sketch_count = 0;
  std::vector<FoundCaption> captions;  // kept or not
  double ink_share = 0.0;              // of the page's area
};

// Sketches in reading order: rows from top to bottom, each from left to right.
SketchRegions find_sketches(const Page& page,
                            const PaperLight& light,
                            const FindSketchesOptions& options = {});

}  // namespace underdraw
