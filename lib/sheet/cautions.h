// What can hurt, in a sentence or two each, for every set of printed pages.
//
// Stage:   sheet. Pure.
// Source:  common safety advice of the trade; each defers to those who know: local rules, makers'
//          data sheets, licensed installers.
#pragma once

#include <vector>

#include "sheet/text_flow.h"

namespace underdraw {

struct Caution {
  const char* head;
  const char* text;
};

// Dust, fumes, food, blades, children.
const std::vector<Caution>& all_cautions();

// Those that are about colours and kilns: no blades.
std::vector<Caution> cautions_for_coats();

TextLines caution_lines(const std::vector<Caution>& cautions, double width_mm);

}  // namespace underdraw
