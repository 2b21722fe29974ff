// Orientation and resolution from EXIF, for the formats that carry it.
//
// Stage:   io, internal to it. Pure.
// In/out:  the EXIF block, with or without its leading "Exif\0\0".
// Source:  CIPA DC-008-2012 (Exif 2.3), section 4.6.4: tags Orientation, XResolution,
//          YResolution, ResolutionUnit.
#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "io/page_reader.h"

namespace underdraw {

struct ExifFacts {
  int orientation = 1;
  std::optional<Resolution> resolution;  // as stated, 72 dpi too
};

// What cannot be understood is left at its default: EXIF only describes the image.
ExifFacts read_exif(std::span<const std::uint8_t> block);

// Cameras must write 72 dpi "when the image resolution is unknown" (XResolution), so it says
// nothing about the page.
bool means_unknown(const Resolution& exif);

}  // namespace underdraw
