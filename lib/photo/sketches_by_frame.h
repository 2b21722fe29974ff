// What was drawn on a drawing sheet, one sketch a frame.
//
// Stage:   photo. Pure.
// In/out:  a traced page in the sheet's frame -> its sketches put together by frame, in the order
//          of the frames; empty frames give none.
// How:     each line goes to the frame that most of it lies in, so that a drawing that runs over
//          its frame's line stays whole and one that touches its neighbour does not join it.
#pragma once

#include <vector>

#include "photo/drawing_sheet.h"
#include "trace/trace_page.h"

namespace underdraw {

struct FramedPage {
  TracedPage traced;
  std::vector<int> frames;  // number of each sketch's frame, from 1
};

FramedPage sketches_by_frame(TracedPage traced, const DrawingSheet& sheet);

}  // namespace underdraw
