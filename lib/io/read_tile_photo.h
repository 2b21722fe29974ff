// Reads the photo of a test tile on the photo mat.
//
// Stage:   io. Reads one file.
// In/out:  any JPEG, PNG or HEIC, its colours taken as sRGB -> the tile's colour.
// Refuses: what is no photo, shows no mat, and what coats/tile_colour.h refuses.
#pragma once

#include <string>

#include "coats/tile_colour.h"

namespace underdraw {

struct TilePhoto {
  TileColour read;
  std::string name;      // of the file
  std::string checksum;  // SHA-256
};

TilePhoto read_tile_photo(const std::string& path, const TileColourOptions& options = {});

}  // namespace underdraw
