// Posed photos of one face to its picture, laid out flat: how it stood is found first.
//
// Stage:   recover. Pure.
// Frames:  see recover/unrolled.h. A round face comes out with a = 0 towards the mat's 0°: a piece
//          that stood a little turned comes out turned, all of it alike.
// In/out:  photos of one standing of the piece -> one picture, how the face stood, what each photo
//          gave.
// Refuses: what fit_standing.h and fuse_photos.h refuse.
// Source:  own construction.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "photo/camera_pose.h"
#include "photo/find_marks.h"
#include "recover/fit_standing.h"
#include "recover/fuse_photos.h"

namespace underdraw {

struct UnrollOptions {
  FitStandingOptions fit;
  FusePhotosOptions fuse;
  std::optional<FaceStanding> standing;  // known already, then nothing is fitted

  void validate() const;  // throws OptionError
};

struct UnrolledFace {
  Unrolled picture;
  StandingFit fit;  // its standing alone where that was given
  std::vector<PhotoShare> photos;
  std::vector<PhotoSight> sights;  // in the same order
  double seen = 0.0;               // share of the face
  std::vector<std::string> warnings;
};

// A photo with what the mat's marks told of it.
FacePhoto face_photo(const cv::Mat& picture, const PosedPhoto& posed, const FoundMarks& marks);

UnrolledFace unroll_face(const Surface& surface,
                         const std::vector<FacePhoto>& photos,
                         const UnrollOptions& options = {},
                         const Progress& progress = {});

}  // namespace underdraw
