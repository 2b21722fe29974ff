// Do two outlines touch?
//
// Stage:   repeat. Pure.
// Source:  crossing edges or one inside the other (even-odd crossing number), as in any textbook.
#pragma once

#include "geometry/rings.h"

namespace underdraw {

bool touching(const Rings& a, const Rings& b);

}  // namespace underdraw
