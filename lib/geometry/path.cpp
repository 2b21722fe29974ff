#include "geometry/path.h"

#include <array>

namespace underdraw {
namespace {

// Pieces needed so that a polyline stays within tolerance of the cubic: the chord error of a
// parametric curve over 1/n of its range is at most max|B''| / (8 n^2).
int flat_count(const Cubic& c, double tolerance) {
  const double bend = std::max(length(c.p0 - 2.0 * c.p1 + c.p2), length(c.p1 - 2.0 * c.p2 + c.p3));
  const double n = std::sqrt(6.0 * bend / (8.0 * tolerance));
  return std::clamp(static_cast<int>(std::ceil(n)), 1, 1000);
}

double piece_length(const Cubic& c) {
  // Five-point Gauss-Legendre on halves.
  static constexpr std::array<double, 5> kNode = {
      0.0, 0.5384693101056831, -0.5384693101056831, 0.9061798459386640, -0.9061798459386640};
  static constexpr std::array<double, 5> kWeight = {0.5688888888888889,
                                                    0.4786286704993665,
                                                    0.4786286704993665,
                                                    0.2369268850561891,
                                                    0.2369268850561891};
  double sum = 0.0;
  for (int half = 0; half < 4; ++half) {
    for (std::size_t i = 0; i < kNode.size(); ++i) {
      const double t = (half + 0.5 + 0.5 * kNode[i]) / 4.0;
      sum += kWeight[i] * length(c.derivative(t)) / 8.0;
    }
  }
  return sum;
}

// Parameters in (0, 1) where one coordinate's derivative vanishes.
void add_extremes(const Cubic& c, Box& box) {
  const Vec2 a = c.p3 - 3.0 * c.p2 + 3.0 * c.p1 - c.p0;
  const Vec2 b = 2.0 * (c.p2 - 2.0 * c.p1 + c.p0);
  const Vec2 d = c.p1 - c.p0;
  const auto visit = [&](double qa, double qb, double qc) {
    const auto take = [&](double t) {
      if (t > 0.0 && t < 1.0) box.add(c.at(t));
    };
    if (std::abs(qa) < 1e-12 * (std::abs(qb) + std::abs(qc))) {
      if (qb != 0.0) take(-qc / qb);
      return;
    }
    const double disc = qb * qb - 4.0 * qa * qc;
    if (disc < 0.0) return;
    const double q = -0.5 * (qb + std::copysign(std::sqrt(disc), qb));
    take(q / qa);
    if (q != 0.0) take(qc / q);
  };
  visit(a.x, b.x, d.x);
  visit(a.y, b.y, d.y);
}

}  // namespace

Vec2 Cubic::at(double t) const {
  const double u = 1.0 - t;
  return p0 * (u * u * u) + p1 * (3.0 * u * u * t) + p2 * (3.0 * u * t * t) + p3 * (t * t * t);
}

Vec2 Cubic::derivative(double t) const {
  const double u = 1.0 - t;
  return (p1 - p0) * (3.0 * u * u) + (p2 - p1) * (6.0 * u * t) + (p3 - p2) * (3.0 * t * t);
}

Vec2 Cubic::second_derivative(double t) const {
  return (p2 - 2.0 * p1 + p0) * (6.0 * (1.0 - t)) + (p3 - 2.0 * p2 + p1) * (6.0 * t);
}

Cubic smooth_way(Vec2 from, Vec2 leaving, Vec2 to, Vec2 arriving) {
  const double handle = distance(from, to) / 3.0;
  return {from, from + leaving * handle, to - arriving * handle, to};
}

CubicPair split(const Cubic& c, double t) {
  const Vec2 a = mix(c.p0, c.p1, t);
  const Vec2 b = mix(c.p1, c.p2, t);
  const Vec2 d = mix(c.p2, c.p3, t);
  const Vec2 ab = mix(a, b, t);
  const Vec2 bd = mix(b, d, t);
  const Vec2 m = mix(ab, bd, t);
  return {{c.p0, a, ab, m}, {m, bd, d, c.p3}};
}

Path Path::polyline(const std::vector<Vec2>& corners, bool closed) {
  Path path;
  path.closed = closed;
  if (corners.empty()) return path;
  path.points.push_back(corners.front());
  const auto line_to = [&](Vec2 to) {
    const Vec2 from = path.points.back();
    path.append({from, mix(from, to, 1.0 / 3.0), mix(from, to, 2.0 / 3.0), to});
  };
  for (std::size_t i = 1; i < corners.size(); ++i) line_to(corners[i]);
  if (closed && corners.size() > 1 && corners.back() != corners.front()) line_to(corners.front());
  return path;
}

void Path::append(const Cubic& next) {
  if (points.empty()) points.push_back(next.p0);
  points.insert(points.end(), {next.p1, next.p2, next.p3});
}

double Path::length() const {
  double sum = 0.0;
  for (std::size_t i = 0; i < piece_count(); ++i) sum += piece_length(piece(i));
  return sum;
}

Box Path::box() const {
  Box box;
  if (!points.empty()) box.add(points.front());
  for (std::size_t i = 0; i < piece_count(); ++i) {
    box.add(piece(i).p3);
    add_extremes(piece(i), box);
  }
  return box;
}

Path transformed(const Path& path, const Affine& to_from_path) {
  Path out = path;
  for (Vec2& p : out.points) p = to_from_path * p;
  return out;
}

Path reversed(const Path& path) {
  Path out = path;
  std::reverse(out.points.begin(), out.points.end());
  return out;
}

std::vector<Vec2> flatten(const Path& path, double tolerance) {
  std::vector<Vec2> out;
  if (!path.points.empty()) out.push_back(path.points.front());
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    const int n = flat_count(c, tolerance);
    for (int k = 1; k < n; ++k) out.push_back(c.at(static_cast<double>(k) / n));
    out.push_back(c.p3);
  }
  return out;
}

std::vector<Vec2> sample(const Path& path, double step) {
  std::vector<Vec2> out;
  if (!path.points.empty()) out.push_back(path.points.front());
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    // The control polygon is never shorter than the curve; speed varies along it, hence the 1.5.
    const double bound = distance(c.p0, c.p1) + distance(c.p1, c.p2) + distance(c.p2, c.p3);
    const int n = std::max(1, static_cast<int>(std::ceil(1.5 * bound / step)));
    for (int k = 1; k < n; ++k) out.push_back(c.at(static_cast<double>(k) / n));
    out.push_back(c.p3);
  }
  return out;
}

double polyline_length(std::span<const Vec2> points) {
  double sum = 0.0;
  for (std::size_t i = 1; i < points.size(); ++i) sum += distance(points[i - 1], points[i]);
  return sum;
}

double signed_area(const std::vector<Vec2>& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    sum += cross(ring[i], ring[(i + 1) % ring.size()]);
  }
  return sum / 2.0;
}

}  // namespace underdraw
