// All that was traced on a page: its sketches and the loose marks between them.
#pragma once

#include "geometry/linework.h"
#include "trace/trace_page.h"

namespace underdraw::test {

inline Linework lines_of(const TracedPage& page) {
  Linework out;
  for (const TracedSketch& sketch : page.sketches) out.append(sketch.lines);
  for (const TracedSketch& mark : page.loose) out.append(mark.lines);
  return out;
}

}  // namespace underdraw::test
