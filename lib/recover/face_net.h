// A face's picture as a net over its pixels, each node exactly where a photo shows it.
//
// Stage:   recover, internal to fuse_photos.cpp and find_shifts.cpp.
// Frames:  grid: px of the unrolled picture (recover/unrolled.h); photo: px.
// Source:  own construction.
#pragma once

#include <vector>

#include <opencv2/core.hpp>

#include "recover/face_photo.h"
#include "recover/see_face.h"
#include "recover/unrolled.h"

namespace underdraw {

// Size and scale of an unrolled picture.
struct FaceGrid {
  int columns = 0, rows = 0;
  bool round = false;
  double px_per_across = 0.0, px_per_along = 0.0;

  FacePoint face_from_px(Vec2 px) const;
  double px_per_mm() const { return px_per_along; }
};

// Pixels about square where the face is as wide as on average.
FaceGrid face_grid(const Surface& surface, double px_per_mm);

struct NetNode {
  Vec2 px;
  float facing = 0.0f;     // cosine off straight on; 0: not seen
  float px_per_mm = 0.0f;  // across the line of sight
};

struct FaceNet {
  int step = 0;  // grid px between nodes
  int columns = 0, rows = 0;
  std::vector<NetNode> nodes;  // by rows; the last of each lies on the picture's edge

  const NetNode& at(int column, int row) const {
    return nodes[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
                 static_cast<std::size_t>(column)];
  }
};

FaceNet face_net(const StandingFace& face, const FaceGrid& grid, const FacePhoto& photo);

// What one photo shows of the face: columns [first, first + size) of the grid, past the seam too.
struct PhotoPart {
  int first = 0;
  cv::Mat colour;     // CV_8UC3
  cv::Mat facing;     // CV_32FC1, cosine; 0 not seen
  cv::Mat px_per_mm;  // CV_32FC1
  cv::Mat inside;     // CV_32FC1, 0 at the photo's border to 1 a little inside it
};

// `picture` may be the photo made smaller by `shrink`.
PhotoPart part_of_photo(const FaceGrid& grid,
                        const FaceNet& net,
                        const cv::Mat& picture,
                        double shrink = 1.0);

}  // namespace underdraw
