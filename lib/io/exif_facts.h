// Orientation, resolution, time and camera from EXIF, for the formats that carry it.
//
// Stage:   io, internal to it. Pure.
// In/out:  the EXIF block, with or without its leading "Exif\0\0".
// Source:  CIPA DC-008-2012 (Exif 2.3), sections 4.6.4 and 4.6.5: tags Orientation,
//          XResolution, YResolution, ResolutionUnit, Make, Model, DateTimeOriginal, FocalLength,
//          FocalLengthIn35mmFilm; OffsetTimeOriginal is of CIPA DC-008-2016 (Exif 2.31).
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "io/page_reader.h"

namespace underdraw {

struct ExifFacts {
  int orientation = 1;
  std::optional<Resolution> resolution;  // as stated, 72 dpi too
  std::optional<std::string> taken_at;   // "2026-05-03T14:15:22", with "+02:00" if stated
  std::optional<std::string> camera_make;
  std::optional<std::string> camera_model;
  std::optional<double> focal_length_mm;    // > 0
  std::optional<double> focal_length_35mm;  // > 0; as on 36 x 24 mm, digital zoom included
};

// What cannot be understood is left at its default: EXIF only describes the image.
ExifFacts read_exif(std::span<const std::uint8_t> block);

// Cameras must write 72 dpi "when the image resolution is unknown" (XResolution), so it says
// nothing about the page.
bool means_unknown(const Resolution& exif);

}  // namespace underdraw
