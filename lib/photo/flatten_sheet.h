// The page that a photo of a drawing sheet would be had it been scanned, without what was printed.
//
// Stage:   photo. Pure.
// In/out:  a photo and where the sheet is in it -> a page of the sheet's size, upright, true to
//          size, at 300 to 600 dpi, with nothing on it but what was drawn in the frames and
//          up to kOverFrameMm over their lines.
// How:     pixels are read between their neighbours (cubic). The printed lines of frames are
//          divided out as those of ruled paper are, where they were found; all else that is printed
//          lies farther outside and becomes bare paper.
// Source:  lines: see scan/lift_ruling.h. Cubic reading: R. Keys, Cubic convolution interpolation,
//          IEEE ASSP 29 (1981), in OpenCV.
#pragma once

#include <string>
#include <vector>

#include "photo/find_drawing_sheet.h"
#include "scan/page.h"

namespace underdraw {

struct FlatSheet {
  Page page;  // frame: the sheet's
  std::vector<std::string> warnings;
};

// `photo` may be without a resolution.
FlatSheet flatten_sheet(const Page& photo, const FoundSheet& found);

// The pixels alone, as printed and drawn.
Page rectified_sheet(const Page& photo, const FoundSheet& found);

}  // namespace underdraw
