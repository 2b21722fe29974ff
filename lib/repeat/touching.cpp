#include "repeat/touching.h"

namespace underdraw {
namespace {

bool crossing(Vec2 a, Vec2 b, Vec2 c, Vec2 d) {
  const auto side = [](Vec2 from, Vec2 to, Vec2 p) { return cross(to - from, p - from); };
  return (side(a, b, c) > 0.0) != (side(a, b, d) > 0.0) &&
         (side(c, d, a) > 0.0) != (side(c, d, b) > 0.0);
}

bool touching_rings(const Ring& a, const Ring& b) {
  const Box box_a = box_of(a);
  const Box box_b = box_of(b);
  if (!box_a.overlaps(box_b)) return false;
  if (inside(a, b.front()) || inside(b, a.front())) return true;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const Vec2 p = a[i];
    const Vec2 q = a[(i + 1) % a.size()];
    Box edge;
    edge.add(p);
    edge.add(q);
    if (!edge.grown(1e-9).overlaps(box_b)) continue;
    for (std::size_t k = 0; k < b.size(); ++k) {
      if (crossing(p, q, b[k], b[(k + 1) % b.size()])) return true;
    }
  }
  return false;
}

}  // namespace

bool touching(const Rings& a, const Rings& b) {
  for (const Ring& one : a) {
    for (const Ring& other : b) {
      if (touching_rings(one, other)) return true;
    }
  }
  return false;
}

}  // namespace underdraw
