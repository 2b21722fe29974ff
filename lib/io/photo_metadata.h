// The EXIF block of a photo, and the photo without what it tells about its owner.
//
// Stage:   io. Reads one file, or pure.
// In/out:  for export, bytes in, bytes out: the coded pixels are copied as they are, never decoded
//          and coded again. Colour profiles and, as the only EXIF tag, the orientation stay. All
//          else that is not needed to show the picture goes: location, times, camera, serial
//          numbers, makers' notes, captions, previews, films and further pictures behind the photo.
//          Only what is known to be harmless is kept, so that what nobody thought of is left out.
// HEIC:    stays HEIC with the same bytes of its pictures; everything else in its media data
//          becomes zeros of the same length, so that no place in the file moves. Its own turning is
//          part of the picture, so its EXIF goes altogether.
// Refuses: files whose parts cannot be told apart (InputError).
// Source:  ITU-T T.81 annex B (JPEG); W3C PNG (Second Edition), Extensions to PNG 1.5 (eXIf);
//          ISO/IEC 14496-12 section 8.11, ISO/IEC 23008-12 (HEIC).
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "io/page_kind.h"

namespace underdraw {

using Bytes = std::vector<std::uint8_t>;
using BytesView = std::span<const std::uint8_t>;

// Empty when there is none.
Bytes exif_of_photo(PageKind kind, const std::string& path);

// `path` is for complaints only. orientation: 1 to 8, as in PhotoFacts.
Bytes photo_for_export(PageKind kind, BytesView photo, int orientation, const std::string& path);

// One format each; photo_metadata.cpp chooses.
Bytes exif_of_jpeg(BytesView photo, const std::string& path);
Bytes exif_of_png(BytesView photo, const std::string& path);
Bytes exif_of_heic(const std::string& path);
Bytes jpeg_for_export(BytesView photo, int orientation, const std::string& path);
Bytes png_for_export(BytesView photo, int orientation, const std::string& path);
Bytes heic_for_export(BytesView photo, const std::string& path);

// A TIFF header and one directory with one entry, little endian; without "Exif\0\0".
Bytes exif_of_orientation(int orientation);

Bytes read_photo_bytes(const std::string& path);

}  // namespace underdraw
