// Whether a laid-out page was told apart as it was meant.
#pragma once

#include "scan/find_sketches.h"
#include "scan/random_layouts.h"

namespace underdraw::test {

struct LayoutVerdict {
  int sketches = 0;
  int right = 0;           // every part of it in one sketch, at its place in reading order
  bool all_right = false;  // and none more than there are
  int parts = 0;
  int parts_left_out = 0;  // of drawings, as captions or as loose marks
  int captions = 0;
  int captions_found = 0;  // left out, nine tenths of their length
  int captions_wrong = 0;  // found where there is none
};

// Draws the page, finds its sketches without captions, and judges by the drawn lines themselves.
LayoutVerdict judge_layout(const Layout& layout);

// The page as the scan stage takes it.
Page page_of(const PencilPage& drawn);

}  // namespace underdraw::test
