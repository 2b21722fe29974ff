// Takes coloured ink off a page whose drawing is in graphite or black: pencilled guides, coffee.
//
// Stage:   scan. Pure.
// In/out:  a page with its colours -> that page in grey as if without them; nothing where there is
//          nothing to lift: a grey page, no coloured ink, or so much of it that it is the drawing.
// Source:  own construction: of the light that a place takes, graphite takes as much from each
//          colour, and an ink takes what is over in its own constant proportion, read off the page.
#pragma once

#include <optional>

#include "scan/find_ruling.h"
#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

// What lies along `ruling` speaks neither for nor against coloured ink.
std::optional<Page> lift_colour(const Page& page, const PaperLight& light, const Ruling& ruling);

}  // namespace underdraw
