// JPEG pages through libjpeg, row by row.
//
// Stage:   io, internal to it.
// In/out:  grey, YCbCr, RGB, CMYK and YCCK, baseline and progressive (whose coefficients libjpeg
//          keeps whole: 2 to 6 bytes a pixel). CMYK with Adobe's marker is stored inverted.
//          Resolution from JFIF in inches or cm, else from EXIF; orientation from EXIF. A JFIF
//          72 dpi is written by default as often as not, so any other EXIF value goes before it.
// Refuses: damaged or truncated files, where libjpeg alone would fill up with grey.
// Source:  ITU-T T.871 (JFIF); Adobe's APP14 marker as in libjpeg's documentation.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "io/page_reader.h"

namespace underdraw {

std::unique_ptr<PageReader> open_jpeg(const std::string& path);  // throws InputError

// The pixels of a JPEG that lies inside another file: `path` and `kind` are for messages only.
PageImage image_from_jpeg(std::span<const std::uint8_t> jpeg,
                          int tint_shrink,
                          const std::string& path,
                          const std::string& kind);

}  // namespace underdraw
