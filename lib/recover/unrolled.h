// A face as photos show it, laid out flat in its own coordinates.
//
// Stage:   recover. Pure.
// Frames:  face: (a, s) on a round face, degrees and mm; (x, y) mm on a flat one; see piece/face.h.
//          Picture: px, origin top left, a pixel's corner is (0, 0). A round face starts at a = 0
//          and its columns are exactly once round, so that column 0 follows the last; s grows from
//          the bottom row upward. A flat face lies as someone sees it who looks at it.
// Source:  own construction.
#pragma once

#include <opencv2/core.hpp>

#include "geometry/vec2.h"
#include "piece/surface.h"

namespace underdraw {

struct Unrolled {
  cv::Mat light;   // CV_32FC1, brightness of the face, evened between photos; 0 black, 1 white
  cv::Mat colour;  // CV_8UC3, blue green red, as light; for pictures
  cv::Mat trust;   // CV_32FC1, 0 not seen to 1 seen straight on and sharp
  cv::Mat steep;   // CV_32FC1, degrees off straight on in the photo that sees best; 90 not seen
  bool round = false;
  double px_per_across = 0.0;  // columns per degree, or per mm on a flat face
  double px_per_along = 0.0;   // rows per mm

  FacePoint face_from_px(Vec2 px) const;
  Vec2 px_from_face(FacePoint point) const;  // a in [0, 360) gives columns of the picture
};

}  // namespace underdraw
