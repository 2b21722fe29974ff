// The placement map: the template of a face with every placement numbered.
//
// Stage:   sheet. Pure.
// In/out:  placements on their template; pages in mm, the scale stated on them.
#pragma once

#include <string>
#include <vector>

#include "sheet/face_map.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

struct MapOptions {
  PaperSize paper;
  double margin_mm = 10.0;  // [5, 25]

  void validate() const;  // throws OptionError
};

// Where a map page keeps its margins.
SheetFrame frame_of(const MapOptions& options);

// One page a face, on its side where that draws it larger; the list of placements below the map as
// far as there is room.
std::vector<Drawing> draw_maps(const std::string& piece,
                               const std::vector<PlacedFace>& faces,
                               const std::vector<Motif>& motifs,
                               const MapOptions& options = {});

// "scale 61 %" or "true size".
std::string scale_words(double scale);

}  // namespace underdraw
