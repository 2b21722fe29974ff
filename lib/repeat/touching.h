// Do two outlines touch?
//
// Stage:   repeat. Pure.
// Source:  crossing edges or one inside the other (even-odd crossing number), as in any textbook.
#pragma once

#include "geometry/outline.h"

namespace underdraw {

bool touching(const Rings& a, const Rings& b);

Rings ring_of(const Box& box);

}  // namespace underdraw
