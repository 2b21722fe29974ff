// The pages before the sheets: map, what to do, cautions, list of placements.
//
// Stage:   sheet. Pure.
#pragma once

#include <vector>

#include "sheet/sheet_plan.h"

namespace underdraw {

// As many pages as the list needs.
std::vector<Drawing> draw_cover(const SheetPlan& plan);

// Cover and sheets: all pages of the file in their order.
std::vector<Drawing> draw_pages(const SheetPlan& plan);

}  // namespace underdraw
