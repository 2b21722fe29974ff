// A drawing sheet in a photo or a scan: which one it is, and where every place of it is.
//
// Stage:   photo. Pure.
// Frames:  photo, px, a pixel's corner is (0, 0), turned either way. Sheet: see drawing_sheet.h.
// How:     codes are looked for in a reduced picture first, so that a page that is no drawing sheet
//          costs little; corners are then read at full size, those that no nearly flat sheet would
//          show there are dropped, and a bent sheet is fitted to the rest.
// Refuses: marks of two sheets, too few or too many hidden side by side, marks that do not lie as
//          this program prints them, frames that reach beyond the photo (InputError).
// Source:  codes: see photo/mat.h; consensus: M. Fischler, R. Bolles, Random sample consensus,
//          CACM 24 (1981).
#pragma once

#include <optional>
#include <string>

#include <opencv2/core.hpp>

#include "photo/bent_sheet.h"
#include "photo/drawing_sheet.h"

namespace underdraw {

struct FoundSheet {
  DrawingSheet sheet;
  BentSheet bent;
  std::size_t marks = 0;  // seen, of sixteen
  double dpi = 0.0;       // of the frame that is shown with the least
};

// `grey` is CV_8UC1; `photo` is named in messages. Nothing when fewer than three marks are seen: it
// is another page, and is left as it is.
std::optional<FoundSheet> find_drawing_sheet(const cv::Mat& grey, const std::string& photo);

}  // namespace underdraw
