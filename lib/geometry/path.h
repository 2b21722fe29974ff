// A line made of cubic Bézier pieces, and what can be asked of it.
//
// Stage:   geometry. Pure.
// In/out:  any plane frame; results are in the frame of the points.
// Source:  Bézier algebra as in any textbook (de Casteljau); length by Gauss-Legendre quadrature.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "geometry/vec2.h"

namespace underdraw {

struct Cubic {
  Vec2 p0, p1, p2, p3;

  Vec2 at(double t) const;          // t in [0, 1]
  Vec2 derivative(double t) const;  // with respect to t
  Vec2 second_derivative(double t) const;
};

// From one place to another, leaving and arriving along unit directions of travel, its handles a
// third of the distance long.
Cubic smooth_way(Vec2 from, Vec2 leaving, Vec2 to, Vec2 arriving);

struct CubicPair {
  Cubic before, after;
};
CubicPair split(const Cubic& cubic, double t);

// Points on, off, off, on, off, off, on…: 3 n + 1 of them for n pieces. One point alone is a dot.
// A closed path repeats its first point as its last.
struct Path {
  std::vector<Vec2> points;
  bool closed = false;

  static Path polyline(const std::vector<Vec2>& corners, bool closed = false);

  bool is_dot() const { return points.size() == 1; }
  std::size_t piece_count() const { return points.empty() ? 0 : (points.size() - 1) / 3; }
  Cubic piece(std::size_t i) const {
    return {points[3 * i], points[3 * i + 1], points[3 * i + 2], points[3 * i + 3]};
  }
  void append(const Cubic& next);  // its p0 is taken to be the present end

  double length() const;
  Box box() const;  // tight: extremes of the curve, not of its control points
};

Path transformed(const Path& path, const Affine& to_from_path);
Path reversed(const Path& path);

// Corner points of a polyline that stays within tolerance of the path (> 0, unit of the path).
std::vector<Vec2> flatten(const Path& path, double tolerance);

// Points along the path no more than `step` apart (> 0), ends included; a dot gives its point.
std::vector<Vec2> sample(const Path& path, double step);

// From point to point; a ring's way back to its start is not counted.
double polyline_length(std::span<const Vec2> points);

// Positive when the ring runs from +x towards +y (clockwise on paper, y down).
double signed_area(const std::vector<Vec2>& ring);

}  // namespace underdraw
