// TIFF pages through libtiff, row by row.
//
// Stage:   io, internal to it.
// In/out:  pages in the file's order, thumbnails and masks left out. 1 to 16 bits; grey of either
//          sense, palette, RGB, CMYK, with or without alpha. Tiles, separate planes and rarer
//          colours go strip by strip through libtiff's own conversion to RGBA. Resolution from
//          tags 282, 283 and 296; without a unit it is only an aspect ratio.
// Refuses: damaged or truncated files; what libtiff only warns about while it decodes counts.
// Source:  TIFF 6.0 (Adobe, 1992).
#pragma once

#include <memory>
#include <string>

#include "io/page_reader.h"

namespace underdraw {

std::unique_ptr<PageReader> open_tiff(const std::string& path);  // throws InputError

}  // namespace underdraw
