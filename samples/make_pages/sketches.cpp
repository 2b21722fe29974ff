#include "sketches.h"

namespace harbour {

std::vector<NamedSketch> all_sketches() {
  return {{"thistle", draw_thistle()},
          {"kelp", draw_kelp()},
          {"scallop", draw_scallop()},
          {"sea-pink", draw_sea_pink()},
          {"feather", draw_feather()},
          {"knot", draw_knot()}};
}

}  // namespace harbour
