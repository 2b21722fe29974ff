// Six drawings for a harbour town's pottery, as exact linework.
//
// Frame:  each its own, mm, about 32 to 48 mm tall; x right, y down.
// None of them changes from call to call: what looks free was written down or comes from a fixed
// seed. The scallop alone is its own mirror image.
#pragma once

#include <string>
#include <vector>

#include "geometry/linework.h"

namespace harbour {

struct NamedSketch {
  std::string name;
  underdraw::Linework lines;
};

underdraw::Linework draw_thistle();
underdraw::Linework draw_kelp();
underdraw::Linework draw_scallop();  // exactly symmetric about x = 0
underdraw::Linework draw_sea_pink();
underdraw::Linework draw_feather();
underdraw::Linework draw_knot();

std::vector<NamedSketch> all_sketches();

}  // namespace harbour
