#include "photo/camera.h"

#include <cmath>

namespace underdraw {
namespace {

constexpr double kWidestSlope = 3.0;  // 143° across: no photo of a mat is wider

double stretch(const Camera& camera, double r2) { return 1.0 + r2 * (camera.k1 + r2 * camera.k2); }

// Of r * stretch(r²) along r: above 0 where the lens is one-to-one.
double slope_of_stretch(const Camera& camera, double r2) {
  return 1.0 + r2 * (3.0 * camera.k1 + 5.0 * r2 * camera.k2);
}

// The lens is one-to-one from the axis to r only if it is at every radius between.
bool one_to_one(const Camera& camera, double r2) {
  if (r2 > kWidestSlope * kWidestSlope || slope_of_stretch(camera, r2) <= 0.0) return false;
  // The slope is a parabola in r²: its least lies at the ends or at its vertex.
  const double vertex = camera.k2 > 0.0 ? -0.3 * camera.k1 / camera.k2 : -1.0;
  return vertex <= 0.0 || vertex >= r2 || slope_of_stretch(camera, vertex) > 0.0;
}

}  // namespace

Vec2 Camera::px_from_slope(Vec2 slope) const {
  return centre_px + slope * (focal_px * stretch(*this, dot(slope, slope)));
}

std::optional<Vec2> Camera::slope_from_px(Vec2 px) const {
  const Vec2 seen = (px - centre_px) / focal_px;
  const double out = length(seen);
  if (out == 0.0) return Vec2{};
  double r = out;
  for (int i = 0; i < 30; ++i) {  // Newton on r * stretch(r²) = out
    const double slope = slope_of_stretch(*this, r * r);
    if (slope <= 0.0) return {};
    const double step = (r * stretch(*this, r * r) - out) / slope;
    r -= step;
    if (std::abs(step) < 1e-13) break;
  }
  if (r < 0.0 || !one_to_one(*this, r * r)) return {};
  if (std::abs(r * stretch(*this, r * r) - out) > 1e-9) return {};
  return seen * (r / out);
}

CameraPose CameraPose::from_turn_vector(Vec3 w, Vec3 shift) {
  const double angle = length(w);
  // sin(t)/t and (1 - cos t)/t², with their series near 0.
  const double a = angle > 1e-6 ? std::sin(angle) / angle : 1.0 - angle * angle / 6.0;
  const double b = angle > 1e-6 ? (1.0 - std::cos(angle)) / (angle * angle) : 0.5;
  const double c = std::cos(angle);
  CameraPose pose;
  pose.turn = {c + b * w.x * w.x,
               b * w.x * w.y - a * w.z,
               b * w.x * w.z + a * w.y,
               b * w.x * w.y + a * w.z,
               c + b * w.y * w.y,
               b * w.y * w.z - a * w.x,
               b * w.x * w.z - a * w.y,
               b * w.y * w.z + a * w.x,
               c + b * w.z * w.z};
  pose.shift = shift;
  return pose;
}

CameraPose CameraPose::looking(Vec3 eye, Vec3 target, double roll_deg) {
  const Vec3 forward = normalized(target - eye);
  Vec3 right = cross(forward, {0.0, 0.0, 1.0});
  right = length(right) > 1e-9 ? normalized(right) : Vec3{1.0, 0.0, 0.0};
  const Vec3 down = cross(forward, right);
  const double c = std::cos(radians(roll_deg));
  const double s = std::sin(radians(roll_deg));
  const Vec3 x = right * c + down * s;
  const Vec3 y = down * c - right * s;
  CameraPose pose;
  pose.turn = {x.x, x.y, x.z, y.x, y.y, y.z, forward.x, forward.y, forward.z};
  pose.shift = {-dot(x, eye), -dot(y, eye), -dot(forward, eye)};
  return pose;
}

Vec3 CameraPose::turn_vector() const {
  // By the largest part of the quaternion, so that half turns come out as well as small ones.
  const auto& m = turn;
  const double trace = m[0] + m[4] + m[8];
  double w, x, y, z;
  if (trace > 0.0) {
    const double s = 2.0 * std::sqrt(1.0 + trace);
    w = 0.25 * s, x = (m[7] - m[5]) / s, y = (m[2] - m[6]) / s, z = (m[3] - m[1]) / s;
  } else if (m[0] > m[4] && m[0] > m[8]) {
    const double s = 2.0 * std::sqrt(1.0 + m[0] - m[4] - m[8]);
    w = (m[7] - m[5]) / s, x = 0.25 * s, y = (m[1] + m[3]) / s, z = (m[2] + m[6]) / s;
  } else if (m[4] > m[8]) {
    const double s = 2.0 * std::sqrt(1.0 + m[4] - m[0] - m[8]);
    w = (m[2] - m[6]) / s, x = (m[1] + m[3]) / s, y = 0.25 * s, z = (m[5] + m[7]) / s;
  } else {
    const double s = 2.0 * std::sqrt(1.0 + m[8] - m[0] - m[4]);
    w = (m[3] - m[1]) / s, x = (m[2] + m[6]) / s, y = (m[5] + m[7]) / s, z = 0.25 * s;
  }
  const Vec3 axis{x, y, z};
  const double sine = length(axis);
  if (sine < 1e-12) return axis * 2.0;
  const double angle = 2.0 * std::atan2(sine, w);
  return axis * ((angle > std::numbers::pi ? angle - 2.0 * std::numbers::pi : angle) / sine);
}

Vec3 CameraPose::to_camera(Vec3 p) const {
  const auto& m = turn;
  return Vec3{m[0] * p.x + m[1] * p.y + m[2] * p.z,
              m[3] * p.x + m[4] * p.y + m[5] * p.z,
              m[6] * p.x + m[7] * p.y + m[8] * p.z} +
         shift;
}

Vec3 CameraPose::direction_to_mat(Vec3 d) const {
  const auto& m = turn;
  return {m[0] * d.x + m[3] * d.y + m[6] * d.z,
          m[1] * d.x + m[4] * d.y + m[7] * d.z,
          m[2] * d.x + m[5] * d.y + m[8] * d.z};
}

Vec3 CameraPose::eye() const { return direction_to_mat(shift) * -1.0; }

std::optional<Vec2> px_from_mat(const Camera& camera, const CameraPose& pose, Vec3 mat) {
  const Vec3 p = pose.to_camera(mat);
  if (p.z <= 1e-9) return {};
  const Vec2 slope{p.x / p.z, p.y / p.z};
  if (!one_to_one(camera, dot(slope, slope))) return {};
  return camera.px_from_slope(slope);
}

std::optional<SightRay> sight_ray(const Camera& camera, const CameraPose& pose, Vec2 px) {
  const std::optional<Vec2> slope = camera.slope_from_px(px);
  if (!slope) return {};
  return SightRay{pose.eye(), normalized(pose.direction_to_mat({slope->x, slope->y, 1.0}))};
}

}  // namespace underdraw
