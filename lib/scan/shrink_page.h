// A page at a lower resolution, each new pixel the mean of a square of old ones.
//
// Stage:   scan. Pure.
// In/out:  the page frame in mm stays; a partial square at the right or lower edge is filled by
//          repeating the edge.
#pragma once

#include "scan/page.h"

namespace underdraw {

// times >= 1; 1 shares the page's pixels.
Page shrink_page(const Page& page, int times);

}  // namespace underdraw
