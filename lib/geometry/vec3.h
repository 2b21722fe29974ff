// Points and directions in space.
//
// Stage:   geometry. Pure.
// Frame:   of a piece: mm, z upward from the foot, the seam tick towards -y, x to the right for
//          someone who looks at the seam tick from outside.
#pragma once

#include <cmath>

namespace underdraw {

struct Vec3 {
  double x = 0.0;
  double y = 0.0;
  double z = 0.0;

  friend constexpr Vec3 operator+(Vec3 a, Vec3 b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
  friend constexpr Vec3 operator-(Vec3 a, Vec3 b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
  friend constexpr Vec3 operator*(Vec3 a, double k) { return {a.x * k, a.y * k, a.z * k}; }
  friend constexpr bool operator==(Vec3, Vec3) = default;
};

constexpr double dot(Vec3 a, Vec3 b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
constexpr Vec3 cross(Vec3 a, Vec3 b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline double length(Vec3 a) { return std::sqrt(dot(a, a)); }
inline Vec3 normalized(Vec3 a) {  // (0, 0, 0) stays
  const double l = length(a);
  return l > 0.0 ? a * (1.0 / l) : a;
}

}  // namespace underdraw
