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

}  // namespace underdraw
