#include "geometry/rings.h"

#include <algorithm>

namespace underdraw {

Box box_of(const Ring& ring) {
  Box box;
  for (const Vec2 p : ring) box.add(p);
  return box;
}

Box box_of(const Rings& rings) {
  Box box;
  for (const Ring& ring : rings) box.add(box_of(ring));
  return box;
}

Rings ring_of(const Box& box) {
  return {{box.min, {box.max.x, box.min.y}, box.max, {box.min.x, box.max.y}}};
}

bool inside(const Ring& ring, Vec2 p) {
  bool in = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const Vec2 a = ring[i], b = ring[j];
    if ((a.y > p.y) == (b.y > p.y)) continue;
    if (p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) in = !in;
  }
  return in;
}

bool inside(const Rings& rings, Vec2 p) {
  bool in = false;
  for (const Ring& ring : rings) in ^= inside(ring, p);
  return in;
}

double distance_to_segment(Vec2 p, Vec2 a, Vec2 b) {
  const Vec2 way = b - a;
  const double square = dot(way, way);
  const double t = square > 0.0 ? std::clamp(dot(p - a, way) / square, 0.0, 1.0) : 0.0;
  return distance(p, a + way * t);
}

Ring convex_hull(Ring points) {
  std::sort(points.begin(), points.end(), [](Vec2 a, Vec2 b) {
    return a.x < b.x || (a.x == b.x && a.y < b.y);
  });
  Ring hull;
  for (int side = 0; side < 2; ++side) {
    const std::size_t start = hull.size();
    for (const Vec2 p : points) {
      while (hull.size() >= start + 2 &&
             cross(hull.back() - hull[hull.size() - 2], p - hull.back()) <= 0.0) {
        hull.pop_back();
      }
      hull.push_back(p);
    }
    hull.pop_back();
    std::reverse(points.begin(), points.end());
  }
  return hull;
}

std::vector<Vec2> simpler_line(const std::vector<Vec2>& points, double tolerance) {
  if (points.size() < 3) return points;
  std::vector<Vec2> out{points.front()};
  std::vector<std::pair<std::size_t, std::size_t>> spans{{0, points.size() - 1}};
  while (!spans.empty()) {
    const auto [from, to] = spans.back();
    spans.pop_back();
    double farthest = tolerance;
    std::size_t at = from;
    for (std::size_t i = from + 1; i < to; ++i) {
      const double off = distance_to_segment(points[i], points[from], points[to]);
      if (off > farthest) {
        farthest = off;
        at = i;
      }
    }
    if (at != from) {
      spans.emplace_back(at, to);
      spans.emplace_back(from, at);
    } else {
      out.push_back(points[to]);
    }
  }
  return out;
}

Ring simpler_ring(const Ring& ring, double tolerance) {
  if (ring.size() < 4) return ring;
  const auto far = std::max_element(ring.begin(), ring.end(), [&](Vec2 a, Vec2 b) {
    return distance(a, ring.front()) < distance(b, ring.front());
  });
  Ring there(ring.begin(), far + 1);
  Ring back(far, ring.end());
  back.push_back(ring.front());
  Ring out = simpler_line(there, tolerance);
  const Ring rest = simpler_line(back, tolerance);
  out.insert(out.end(), rest.begin() + 1, rest.end() - 1);
  return out;
}

}  // namespace underdraw
