// The coat card: what to mix, in which order to paint, from where to hold, with a box to tick for
// every coat of every stop.
//
// Stage:   coats. Pure.
// In/out:  a paint map and its plan; pages in mm.
#pragma once

#include <string>
#include <vector>

#include "coats/coat_plan.h"
#include "sheet/draw_map.h"

namespace underdraw {

// Side 0 is the one with the seam tick in its middle; then to the right, as angles grow.
std::string side_words(int side);

// "25 min", "1 h 40 min".
std::string time_words(double minutes);

std::vector<Drawing> draw_coat_card(const std::string& piece,
                                    const PaintMap& map,
                                    const CoatPlan& plan,
                                    const MapOptions& options = {});

}  // namespace underdraw
