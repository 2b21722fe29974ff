// Photos of a face that stands where it is known to: one picture of it, laid out flat.
//
// Stage:   recover. Pure.
// Frames:  see recover/unrolled.h.
// How:     the photo that sees a place best gives nearly all of it, so that lines do not double
//          where photos disagree by a little; best is straight on, sharp, away from the border and
//          without glare. Photos are evened against each other where they overlap (one factor a
//          colour, then a smooth field); what is much lighter than the others show there, or white,
//          is glare.
// Refuses: no photos, or none in which the face is seen (InputError); options (OptionError).
// Source:  weights by steepness and sharpness: common practice in photogrammetry, no source; the
//          rest own construction.
#pragma once

#include <string>
#include <vector>

#include "core/progress.h"
#include "recover/face_photo.h"
#include "recover/standing.h"
#include "recover/unrolled.h"

namespace underdraw {

struct FusePhotosOptions {
  double px_per_mm = 10.0;     // of the unrolled picture; [1, 20]
  double most_mega_px = 16.0;  // a larger face gets fewer px per mm; [0.1, 100]
  double steepest_deg = 78.0;  // seen steeper is not seen; [45, 82]
  double best_wins = 4.0;      // power of the weights: 1 blends, high takes the best; [1, 16]

  void validate() const;  // throws OptionError
};

struct PhotoShare {
  std::string photo;
  double gain = 1.0;     // its brightness over that of all together
  double seen = 0.0;     // share of the face that it shows
  double best = 0.0;     // share of the face that it shows best
  double glare = 0.0;    // share of what it shows
  double blur_mm = 0.0;  // one sigma on the wall, where it sees best
};

// How one photo sees the face, px of a coarse picture laid out like the unrolled one.
struct PhotoSight {
  cv::Mat facing;     // CV_32FC1, cosine off straight on; 0 not seen
  cv::Mat px_per_mm;  // CV_32FC1, across the line of sight
  cv::Mat clear;      // CV_32FC1, 0 glare to 1 none
  double blur_px = 0.0;

  double blur_mm(cv::Point at) const;  // one sigma along the wall, foreshortened
};

struct FusedFace {
  Unrolled picture;
  std::vector<PhotoShare> photos;
  std::vector<PhotoSight> sights;  // in the same order
  double seen = 0.0;               // share of the face
};

FusedFace fuse_photos(const StandingFace& face,
                      const std::vector<FacePhoto>& photos,
                      const FusePhotosOptions& options = {},
                      const Progress& progress = {});

}  // namespace underdraw
