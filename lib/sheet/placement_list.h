// The list of placements that goes with a map.
//
// Stage:   sheet. Pure.
#pragma once

#include <string>
#include <vector>

#include "sheet/sheet_plan.h"

namespace underdraw {

struct ListRow {
  std::string number, motif, size, where, sheet;
};

// Sheets are named when there is a plan.
std::vector<ListRow> list_rows(const std::vector<PlacedFace>& faces,
                               const std::vector<Motif>& motifs,
                               const SheetPlan* plan = nullptr);

// Rows from the first on, in as many columns as the box is wide enough for, as far as they fit.
struct DrawnList {
  std::vector<Mark> marks;
  std::size_t rows = 0;    // drawn
  double height_mm = 0.0;  // used
};
DrawnList draw_list(const std::vector<ListRow>& rows, std::size_t first, const Box& box);

}  // namespace underdraw
