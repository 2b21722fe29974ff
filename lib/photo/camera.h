// A camera and where it stands: from millimetres on the mat to pixels, and back to rays.
//
// Stage:   photo. Pure.
// Frames:  mat: mm, origin in the middle of its circles, x right, y to the page's top, z up out of
//          the paper: the frame of a piece (geometry/vec3.h) that stands on it with its seam tick
//          at 0°. Camera: mm, x right, y down, z forward. Photo: px, a pixel's corner is (0, 0).
// Source:  D. C. Brown, Close-range camera calibration, Photogramm. Eng. 37 (1971): two radial
//          terms. Turns as one vector, its length the angle: O. Rodrigues (1840).
#pragma once

#include <array>
#include <optional>

#include "geometry/vec2.h"
#include "geometry/vec3.h"

namespace underdraw {

struct Camera {
  int width_px = 0;
  int height_px = 0;
  double focal_px = 0.0;
  Vec2 centre_px;   // where the optical axis meets the photo
  double k1 = 0.0;  // x (1 + k1 r² + k2 r⁴), r in focal lengths from the axis
  double k2 = 0.0;

  Vec2 px_from_slope(Vec2 slope) const;  // slope: (x / z, y / z) in the camera's frame
  // Nothing where no slope within the lens's range leads to that pixel.
  std::optional<Vec2> slope_from_px(Vec2 px) const;
};

// camera_point = turn * mat_point + shift.
struct CameraPose {
  std::array<double, 9> turn{1, 0, 0, 0, 1, 0, 0, 0, 1};  // by rows
  Vec3 shift;

  static CameraPose from_turn_vector(Vec3 turn_vector, Vec3 shift);
  // At `eye`, looking at `target`, then rolled about its axis; mat frame.
  static CameraPose looking(Vec3 eye, Vec3 target, double roll_deg = 0.0);

  Vec3 turn_vector() const;
  Vec3 to_camera(Vec3 mat) const;
  Vec3 direction_to_mat(Vec3 camera) const;
  Vec3 eye() const;  // in the mat's frame
};

// Nothing for a point behind the camera or outside the range in which the lens is one-to-one.
std::optional<Vec2> px_from_mat(const Camera& camera, const CameraPose& pose, Vec3 mat);

struct SightRay {
  Vec3 from;
  Vec3 towards;  // unit
};
std::optional<SightRay> sight_ray(const Camera& camera, const CameraPose& pose, Vec2 px);

}  // namespace underdraw
