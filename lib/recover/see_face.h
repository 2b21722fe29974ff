// What a camera sees of a face: for each pixel the point of the face, and which lines show.
//
// Stage:   recover. Pure.
// Frames:  mat and photo as in photo/camera.h, face points as in piece/face.h.
// How:     the face as a net of small triangles, drawn into the picture with their distance, so
//          that what lies behind a belly, a shoulder or the other side, or behind the inside of an
//          open mouth, is not seen. Angles and
//          heights are linear over a triangle: exact to a hundredth of a millimetre.
// Refuses: options outside their ranges (OptionError).
// Source:  a depth buffer, as in any textbook of computer graphics.
#pragma once

#include <functional>
#include <vector>

#include <opencv2/core.hpp>

#include "photo/camera.h"
#include "piece/surface.h"
#include "recover/photo_line.h"
#include "recover/recovered.h"
#include "recover/unrolled.h"

namespace underdraw {

// A face where it stood when photos were taken.
struct StandingFace {
  const Surface* surface = nullptr;
  std::function<Vec3(FacePoint)> mat_from_face;
};

struct FaceView {
  cv::Mat across;  // CV_32FC1, the face point of each pixel; a in [0, 360) on a round face
  cv::Mat along;   // CV_32FC1
  cv::Mat depth;   // CV_32FC1, mm from the camera's plane; 0: no face there
  double px_from_photo = 1.0;

  bool shows(Vec2 px) const;
};

struct SeeFaceOptions {
  int longest_px = 2000;  // of the picture made, no larger than the photo; [100, 8000]
  double step_mm = 2.0;   // of the net; [0.5, 20]

  void validate() const;  // throws OptionError
};

FaceView see_face(const StandingFace& face,
                  const Camera& camera,
                  const CameraPose& pose,
                  const SeeFaceOptions& options = {});

// The stretches of the strokes that show, in px of the photo. `covered` tells of each point whether
// it is covered, the same for the whole stroke where it is empty.
std::vector<PhotoLine> lines_in_view(const StandingFace& face,
                                     const FaceView& view,
                                     const Camera& camera,
                                     const CameraPose& pose,
                                     const std::vector<RecoveredStroke>& strokes,
                                     const std::vector<std::vector<bool>>& covered = {});

// The unrolled face as this camera would see it, over `photo` (CV_8UC3, of the view's size) where
// it was not seen: the same view at another stage.
cv::Mat seen_as(const FaceView& view, const Unrolled& face, const cv::Mat& photo);

}  // namespace underdraw
