// HEIC and HEIF pages through libheif, as phones write them.
//
// Stage:   io, internal to it.
// In/out:  the file's images in its order, turned upright by the file's own transformations (its
//          EXIF orientation repeats them and is not applied); resolution from EXIF.
//          libheif decodes an image whole: about 5 bytes a pixel more than the grey page.
// Refuses: damaged or truncated files.
// Source:  ISO/IEC 23008-12.
#pragma once

#include <memory>
#include <string>

#include "io/page_reader.h"

namespace underdraw {

std::unique_ptr<PageReader> open_heic(const std::string& path);  // throws InputError

}  // namespace underdraw
