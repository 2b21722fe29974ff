// Two photos of nearly the same view, before and after a coat, laid over each other by what has
// not changed between them.
//
// Stage:   recover. Pure.
// In/out:  upright photos, CV_8UC3 -> where points of the first lie in the second.
// How:     features matched both ways, a homography that many of them agree on, a bend fitted to
//          ever more of them (view_map.h); then small patches of the photo before are looked for
//          where the map expects them, first in pictures of `features_px`, then at full size. What
//          a coat covers has no match and no say. Piece and background may have moved against each
//          other: each such layer is fitted, and the one with the more pairs in the middle of the
//          photo before is taken.
// Refuses: photos of which too little agrees, of another piece or from another side (InputError
//          names both, and points.html as the way to help).
// Source:  D. Lowe, Distinctive image features from scale-invariant keypoints, IJCV 60 (2004);
//          D. Barath et al., MAGSAC++ (2020); J. Lewis, Fast normalized cross-correlation (1995).
#pragma once

#include <string>

#include <opencv2/core.hpp>

#include "recover/view_map.h"

namespace underdraw {

struct NamedPicture {
  std::string name;  // "photos/drawn-1.jpg", for complaints
  cv::Mat bgr;       // CV_8UC3
};

struct AlignOptions {
  int features_px = 1600;  // longer side of the pictures in which features are sought; [400, 4000]
  int most_features = 4000;    // of each photo, the strongest; [100, 20000]
  double trust_share = 0.002;  // of the longer side: as FitViewOptions::trust_px; (0, 0.05]

  void validate() const;  // throws OptionError
};

FittedView align_views(const NamedPicture& before,
                       const NamedPicture& after,
                       const AlignOptions& options = {});

}  // namespace underdraw
