// The first pages of a print for many people: whose sheets begin where, and whose are missing.
//
// Stage:   sheet. Pure.
// Frame:   sheet, mm.
#pragma once

#include <string>
#include <vector>

#include "sheet/drawing.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

struct ContentsRow {
  std::string name;
  std::string sheets;  // "3 sheets of A4, carbon"
  int first_page = 0;  // of this person, in the whole file; 0: nothing was made
  int last_page = 0;
  std::string missing;  // why nothing was made
};

// Rows in their order. `options` gives paper and margin.
std::vector<Drawing> draw_contents(const std::string& title,
                                   const std::vector<ContentsRow>& rows,
                                   const SheetOptions& options);

}  // namespace underdraw
