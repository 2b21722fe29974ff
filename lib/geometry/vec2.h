// Points, boxes and plane transforms.
//
// Stage:   geometry. Pure.
// Frames:  x right, y down, unless a caller says otherwise. A positive angle turns x towards y,
//          which looks clockwise on paper.
// Transforms are named to_from_from: sheet_from_motif * point_in_motif is on the sheet.
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace underdraw {

constexpr double radians(double degrees) { return degrees * std::numbers::pi / 180.0; }
constexpr double degrees(double radians) { return radians * 180.0 / std::numbers::pi; }

struct Vec2 {
  double x = 0.0;
  double y = 0.0;

  friend constexpr Vec2 operator+(Vec2 a, Vec2 b) { return {a.x + b.x, a.y + b.y}; }
  friend constexpr Vec2 operator-(Vec2 a, Vec2 b) { return {a.x - b.x, a.y - b.y}; }
  friend constexpr Vec2 operator-(Vec2 a) { return {-a.x, -a.y}; }
  friend constexpr Vec2 operator*(Vec2 a, double k) { return {a.x * k, a.y * k}; }
  friend constexpr Vec2 operator*(double k, Vec2 a) { return a * k; }
  friend constexpr Vec2 operator/(Vec2 a, double k) { return {a.x / k, a.y / k}; }
  constexpr Vec2& operator+=(Vec2 b) { return *this = *this + b; }
  constexpr Vec2& operator-=(Vec2 b) { return *this = *this - b; }
  friend constexpr bool operator==(Vec2, Vec2) = default;
};

constexpr double dot(Vec2 a, Vec2 b) { return a.x * b.x + a.y * b.y; }
constexpr double cross(Vec2 a, Vec2 b) { return a.x * b.y - a.y * b.x; }
inline double length(Vec2 a) { return std::sqrt(dot(a, a)); }
inline double distance(Vec2 a, Vec2 b) { return length(a - b); }
inline Vec2 normalized(Vec2 a) {  // (0, 0) stays (0, 0)
  const double l = length(a);
  return l > 0.0 ? a / l : a;
}
// Unsigned, radians, 0 to pi.
inline double angle_between(Vec2 a, Vec2 b) { return std::abs(std::atan2(cross(a, b), dot(a, b))); }
constexpr Vec2 perpendicular(Vec2 a) { return {-a.y, a.x}; }  // a turned by +90 degrees
constexpr Vec2 mix(Vec2 a, Vec2 b, double t) { return a * (1.0 - t) + b * t; }

// Axis-aligned; empty (min > max) until a point is added.
struct Box {
  Vec2 min{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
  Vec2 max{-std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};

  bool empty() const { return min.x > max.x || min.y > max.y; }
  double width() const { return empty() ? 0.0 : max.x - min.x; }
  double height() const { return empty() ? 0.0 : max.y - min.y; }
  Vec2 centre() const { return (min + max) / 2.0; }
  void add(Vec2 p) {
    min = {std::min(min.x, p.x), std::min(min.y, p.y)};
    max = {std::max(max.x, p.x), std::max(max.y, p.y)};
  }
  void add(const Box& b) {
    if (b.empty()) return;
    add(b.min);
    add(b.max);
  }
  Box grown(double by) const {
    if (empty()) return *this;
    return {{min.x - by, min.y - by}, {max.x + by, max.y + by}};
  }
  bool contains(Vec2 p) const {
    return p.x >= min.x && p.x <= max.x && p.y >= min.y && p.y <= max.y;
  }
  bool contains(const Box& b) const { return contains(b.min) && contains(b.max); }
  bool overlaps(const Box& b) const {
    return min.x < b.max.x && b.min.x < max.x && min.y < b.max.y && b.min.y < max.y;
  }
};

// x' = xx x + xy y + tx,  y' = yx x + yy y + ty
struct Affine {
  double xx = 1.0, xy = 0.0, tx = 0.0;
  double yx = 0.0, yy = 1.0, ty = 0.0;

  static constexpr Affine translate(Vec2 by) { return {1, 0, by.x, 0, 1, by.y}; }
  static constexpr Affine scale(double k) { return {k, 0, 0, 0, k, 0}; }
  static constexpr Affine mirror_x() { return {-1, 0, 0, 0, 1, 0}; }  // x changes sign
  static Affine turn_deg(double deg) {
    // Quarter turns are exact, so turning four times gives the original back.
    const double quarters = deg / 90.0;
    double c = std::cos(radians(deg));
    double s = std::sin(radians(deg));
    if (quarters == std::floor(quarters)) {
      c = std::round(c);
      s = std::round(s);
    }
    return {c, -s, 0, s, c, 0};
  }

  constexpr Vec2 operator*(Vec2 p) const {
    return {xx * p.x + xy * p.y + tx, yx * p.x + yy * p.y + ty};
  }
  constexpr Affine operator*(const Affine& o) const {
    return {xx * o.xx + xy * o.yx,
            xx * o.xy + xy * o.yy,
            xx * o.tx + xy * o.ty + tx,
            yx * o.xx + yy * o.yx,
            yx * o.xy + yy * o.yy,
            yx * o.tx + yy * o.ty + ty};
  }
  constexpr double determinant() const { return xx * yy - xy * yx; }  // < 0: mirrors
  constexpr Affine inverse() const {
    const double d = determinant();
    return {yy / d, -xy / d, (xy * ty - yy * tx) / d, -yx / d, xx / d, (yx * tx - xx * ty) / d};
  }
  // Factor on lengths when the transform keeps shapes; the geometric mean otherwise.
  double length_factor() const { return std::sqrt(std::abs(determinant())); }
};

}  // namespace underdraw
