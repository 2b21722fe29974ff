// A traced page drawn over its paled scan, with a legend, so that a person can judge the lines at
// a glance.
//
// Stage:   io. Pure (PNG bytes come back) but for the font.
// Shows:   every line's middle as a thin line in a translucent band as wide as the pen; meetings as
//          rings, loose ends as squares, dots as diamonds, areas hatched: shapes as well as
//          colours, for those who do not tell colours apart.
// Size:    12 px a mm, or less so that the longer side stays within 4000 px.
#pragma once

#include <string>
#include <vector>

#include "scan/page.h"
#include "trace/trace_page.h"

namespace underdraw {

struct ShowTraceOptions {
  std::vector<std::string> names = {};  // of the sketches; numbers where there is none
  std::string title = {};               // of the page, "harbour-sketches.png"
};

std::string png_of_trace(const Page& page,
                         const TracedPage& traced,
                         const ShowTraceOptions& options = {});

// What was found, in the words of the legend: "6 sketches, 118 lines of 371 cm, …".
std::string trace_summary(const TracedPage& traced);

}  // namespace underdraw
