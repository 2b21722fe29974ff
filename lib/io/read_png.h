// PNG pages through libpng, row by row.
//
// Stage:   io, internal to it.
// In/out:  any PNG: 1 to 16 bits, grey, palette or RGB, with or without alpha, interlaced or not;
//          resolution from pHYs, else from eXIf; orientation from eXIf.
// Refuses: damaged or truncated files, checksums and the closing IEND included.
// Source:  W3C PNG Specification (Second Edition); interlacing passes as numbered there.
#pragma once

#include <memory>
#include <string>

#include "io/page_reader.h"

namespace underdraw {

std::unique_ptr<PageReader> open_png(const std::string& path);  // throws InputError

}  // namespace underdraw
