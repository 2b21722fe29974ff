// What a photo says about itself: kind, size, which way up, when and with what it was taken.
//
// Stage:   io. Reads one file.
// In/out:  any JPEG, PNG or HEIC, told by its content. Location and serial numbers are not read.
// Refuses: other kinds, missing, empty, damaged or cut-short files (every pixel is decoded once),
//          sides of 60,000 px or more, above 400 megapixels (InputError).
// Source:  CIPA DC-008-2012 (Exif 2.3), section 4.6.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "io/page_kind.h"

namespace underdraw {

struct PhotoFacts {
  PageKind kind = PageKind::jpeg;
  std::int64_t width_px = 0;  // as decoded, before orientation is applied
  std::int64_t height_px = 0;
  int orientation = 1;  // EXIF 1 to 8, still to be applied; 1 for HEIC, whose decoder turns it
  std::optional<std::string> taken_at;  // "2026-05-03T14:15:22", with "+02:00" if stated
  std::optional<std::string> camera_make;
  std::optional<std::string> camera_model;
  std::optional<double> focal_length_mm;
  std::optional<double> focal_length_35mm;  // as on 36 x 24 mm; digital zoom included
};

PhotoFacts read_photo_facts(const std::string& path);

}  // namespace underdraw
