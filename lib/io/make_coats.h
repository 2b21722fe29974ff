// A piece folder's paint map and coat card, in its `out/`.
//
// Stage:   io. Reads piece.toml, pages and the record; adds paint-map.pdf and its pictures,
//          coat-card.pdf and coats.json to `out/`.
// Guarantee: as io/out_folder.h; what other commands made stays.
// Refuses: what the chain as far as the placements refuses, and what paint_map does (InputError).
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "coats/coat_plan.h"
#include "coats/paint_map.h"
#include "core/progress.h"
#include "io/make_piece.h"
#include "io/out_folder.h"

namespace underdraw {

struct MakeCoatsOptions {
  TraceOptions trace;
  double png_dpi = 150.0;  // of the map's pictures; [20, 1200]
};

struct CoatsResult {
  PieceFile piece;
  PaintMap map;
  CoatPlan plan;
  std::vector<std::string> warnings;
  std::vector<std::string> files;  // made, as paths
};

CoatsResult make_coats(const std::filesystem::path& folder,
                       const MakeCoatsOptions& options = {},
                       const Progress& progress = {},
                       const Notice& notice = {});

}  // namespace underdraw
