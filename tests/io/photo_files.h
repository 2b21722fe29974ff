// Photos as a camera writes them, for the tests: small pictures with everything that a camera or a
// phone says about place, time and owner.
#pragma once

#include <string>

#include "io/page_files.h"

namespace underdraw::testing_pages {

struct CameraLook {
  int orientation = 1;
  std::string taken = "2026:05:03 14:15:22";  // empty states none
  std::string offset = "+02:00";
  std::string make = "Tern";
  std::string model = "Tern Pocket 2";
  double focal_length_mm = 6.2;
  int focal_length_35mm = 27;
};

// Words that EXIF, XMP, comments and names of the files below hold, and no exported copy may.
extern const std::vector<std::string> kSecrets;
// The latitude as EXIF holds it, little endian: 54 degrees, 35 minutes, 17.43 seconds.
extern const Bytes kLatitude;

// An EXIF block by libexif, without prefix, with a position, serial number, owner and maker's note.
Bytes camera_exif(const CameraLook& look = {});

// Pictures differ by their number.
cv::Mat small_picture(int number);
Bytes small_jpeg(int number, const CameraLook& look = {});
// With XMP, IPTC, a comment, a preview and a second picture behind the end.
Bytes talkative_jpeg(int number, const CameraLook& look = {});
Bytes talkative_png(int number, const CameraLook& look = {});

bool holds(const Bytes& bytes, const Bytes& part);
bool holds(const Bytes& bytes, const std::string& part);

}  // namespace underdraw::testing_pages
