// Takes printed lines off a page and leaves what is drawn over them and beside them.
//
// Stage:   scan. Pure.
// In/out:  a page and its ruling -> that page as if on blank paper; `page` itself is not written
// to. Source:  own construction: ink lets a share of the light through, so what lies on a printed
// line
//          is found again by dividing by the line's own share. That is measured every few mm along
//          each line, as the median of what is there, and bounded by the line's usual darkness.
#pragma once

#include "scan/find_ruling.h"
#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

Page lift_ruling(const Page& page, const PaperLight& light, const Ruling& ruling);

}  // namespace underdraw
