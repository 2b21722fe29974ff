// The unknowns of a bundle of photos and what each corner says about them.
//
// Stage:   photo, internal to camera_pose.cpp.
// Frames:  see photo/camera.h; the unknowns are scaled so that all are about as large.
#pragma once

#include <array>
#include <cmath>

#include "geometry/vec2.h"

namespace underdraw {

// The unknowns that all photos share, in numbers near 1: log focal length over its start, centre
// from the photo's middle over the longer side, the bending, log of the paper's across over down.
enum Shared { log_focal, centre_x, centre_y, bend_1, bend_2, stretch, shared_count };
// Of one photo: turn vector and shift (over 100 mm), its own log focal length and centre.
enum Own { turn_x, shift_x = 3, own_focal = 6, own_x, own_y, own_count };
constexpr double kShiftUnit = 100.0;

struct Frame {
  double focal_px, longer_px;
  Vec2 middle;
  // Width and height are swapped against the first photo. Which way the sensor was turned is not
  // known, so the shared centre says nothing here: the photo's own one does.
  bool turned;
};

template <typename T>
void project(const Frame& frame, const T* shared, const T* own, const T* mat, T* px) {
  using std::exp;
  const T wx = own[0], wy = own[1], wz = own[2];
  const T angle2 = wx * wx + wy * wy + wz * wz;
  T a, b;
  if (angle2 > T(1e-12)) {
    using std::cos;
    using std::sin;
    using std::sqrt;
    const T angle = sqrt(angle2);
    a = sin(angle) / angle;
    b = (T(1.0) - cos(angle)) / angle2;
  } else {
    a = T(1.0) - angle2 / 6.0;
    b = T(0.5) - angle2 / 24.0;
  }
  // p cos + (w x p) a + w (w . p) b, with cos = 1 - b angle².
  const T c = T(1.0) - b * angle2;
  const T dotted = (wx * mat[0] + wy * mat[1] + wz * mat[2]) * b;
  const T x = c * mat[0] + a * (wy * mat[2] - wz * mat[1]) + dotted * wx + own[3] * kShiftUnit;
  const T y = c * mat[1] + a * (wz * mat[0] - wx * mat[2]) + dotted * wy + own[4] * kShiftUnit;
  const T z = c * mat[2] + a * (wx * mat[1] - wy * mat[0]) + dotted * wz + own[5] * kShiftUnit;
  const T u = x / z;
  const T v = y / z;
  const T r2 = u * u + v * v;
  const T reach = exp(shared[log_focal] + own[own_focal]) * frame.focal_px *
                  (T(1.0) + r2 * (shared[bend_1] + r2 * shared[bend_2]));
  const T along = frame.turned ? T(0.0) : shared[centre_x];
  const T down = frame.turned ? T(0.0) : shared[centre_y];
  px[0] = frame.middle.x + (along + own[own_x]) * frame.longer_px + reach * u;
  px[1] = frame.middle.y + (down + own[own_y]) * frame.longer_px + reach * v;
}

struct CornerMiss {
  const Frame& frame;
  Vec2 mat, px;
  double weight;

  template <typename T>
  bool operator()(const T* shared, const T* own, T* miss) const {
    using std::exp;
    const T half = 0.5 * shared[stretch];
    const T at[3] = {T(mat.x) * exp(half), T(mat.y) * exp(-half), T(0.0)};
    T seen[2];
    project(frame, shared, own, at, seen);
    miss[0] = (seen[0] - px.x) * weight;
    miss[1] = (seen[1] - px.y) * weight;
    return true;
  }
};

// Holds some of a block's numbers to what they should be.
template <int kCount>
struct Held {
  std::array<double, kCount> weights;

  template <typename T>
  bool operator()(const T* block, T* miss) const {
    for (int i = 0; i < kCount; ++i) miss[i] = block[i] * weights[static_cast<std::size_t>(i)];
    return true;
  }
};

}  // namespace underdraw
