// The pages that tracing is measured on: drawn by a made-up hand, seen by a made-up scanner or
// phone, with every true line known.
//
// In/out:  pages come one at a time, because each is large; the same call gives the same page.
// Frame:   page, mm, at the nominal dpi; truth is after wobble, skew and perspective.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "geometry/linework.h"
#include "scan/page.h"

namespace underdraw::test {

struct AccuracyPage {
  std::string name;      // "thistle-pencil-300"
  std::string about;     // one line: what it tries
  cv::Mat pixels;        // CV_8UC1, or CV_8UC3 in the order blue, green, red
  double dpi = 300.0;    // nominal
  int jpeg_quality = 0;  // 0: the page is handed over as PNG
  bool faint = false;    // drawn in faint pencil
  bool clean = false;    // drawn in ink, without crumbs
  Linework truth;        // every stroke with its widths_mm, at equal steps of about 0.25 mm
};

struct PageRecipe {
  std::string name;
  std::function<AccuracyPage()> draw;
};

std::vector<PageRecipe> accuracy_pages();

// The page as a file: PNG or JPEG, with its resolution stated.
std::string page_file_bytes(const AccuracyPage& page);

// Through that file, written into a folder of its own that goes away again, and the pages' reader.
Page page_as_read(const AccuracyPage& page);

}  // namespace underdraw::test
