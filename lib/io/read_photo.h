// Reads a photo's pixels in colour.
//
// Stage:   io. Reads one file.
// In/out:  any JPEG, PNG or HEIC, told by its content -> 8-bit blue, green, red, as the sensor saw
//          it: the orientation is told and not applied, so that all photos of one camera have its
//          middle in the same place. (HEIC is turned by its decoder.) Photos with a longer side
//          above `longest_px` are shrunk by a whole factor as they are read.
// Refuses: what read_photo_facts refuses.
#pragma once

#include <string>

#include <opencv2/core.hpp>

namespace underdraw {

struct ReadPhotoOptions {
  int longest_px = 5000;  // [500, 20000]

  void validate() const;  // throws OptionError
};

struct Photo {
  cv::Mat bgr;          // CV_8UC3
  int orientation = 1;  // EXIF 1 to 8, still to be applied
  int shrink = 1;       // px of the file per px here
};

Photo read_photo(const std::string& path, const ReadPhotoOptions& options = {});

}  // namespace underdraw
