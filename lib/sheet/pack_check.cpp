#include "sheet/pack_check.h"

namespace underdraw {
namespace {

constexpr double kRounding = 1e-7;  // mm

struct Segment {
  Vec2 a, b;
};

std::vector<Segment> sides_of(const std::vector<Vec2>& ring) {
  std::vector<Segment> out;
  for (std::size_t i = 0; i < ring.size(); ++i)
    out.push_back({ring[i], ring[(i + 1) % ring.size()]});
  return out;
}

double to_segment(Vec2 p, const Segment& s) {
  const Vec2 d = s.b - s.a;
  const double square = dot(d, d);
  const double t = square > 0.0 ? std::clamp(dot(p - s.a, d) / square, 0.0, 1.0) : 0.0;
  return distance(p, s.a + d * t);
}

bool cross_properly(const Segment& s, const Segment& t) {
  const double a = cross(s.b - s.a, t.a - s.a), b = cross(s.b - s.a, t.b - s.a);
  const double c = cross(t.b - t.a, s.a - t.a), d = cross(t.b - t.a, s.b - t.a);
  return ((a > 0.0) != (b > 0.0)) && ((c > 0.0) != (d > 0.0));
}

double between(const Segment& s, const Segment& t) {
  if (cross_properly(s, t)) return 0.0;
  return std::min({to_segment(s.a, t), to_segment(s.b, t), to_segment(t.a, s), to_segment(t.b, s)});
}

// By the turns that the ring makes about p.
bool inside(Vec2 p, const std::vector<Segment>& sides) {
  int turns = 0;
  for (const Segment& s : sides) {
    const double side = cross(s.b - s.a, p - s.a);
    if (s.a.y <= p.y && s.b.y > p.y && side > 0.0) ++turns;
    if (s.a.y > p.y && s.b.y <= p.y && side < 0.0) --turns;
  }
  return turns != 0;
}

double depth(Vec2 p, const std::vector<Segment>& sides) {
  if (!inside(p, sides)) return 0.0;
  double least = std::numeric_limits<double>::infinity();
  for (const Segment& s : sides) least = std::min(least, to_segment(p, s));
  return least;
}

Box box_of(const std::vector<Vec2>& ring) {
  Box box;
  for (const Vec2 p : ring) box.add(p);
  return box;
}

// Depth of a's boundary inside b, looked at in the middle of each run between crossings.
double boundary_depth(const std::vector<Segment>& a, const std::vector<Segment>& b) {
  double deepest = 0.0;
  for (const Segment& s : a) {
    std::vector<double> at = {0.0, 1.0};
    const Vec2 d = s.b - s.a;
    for (const Segment& t : b) {
      const Vec2 e = t.b - t.a;
      const double sine = cross(d, e);
      if (sine != 0.0) at.push_back(cross(t.a - s.a, e) / sine);
      // Corners of b beside s: where sides run along each other they cross nowhere.
      if (dot(d, d) > 0.0) at.push_back(dot(t.a - s.a, d) / dot(d, d));
    }
    std::sort(at.begin(), at.end());
    for (std::size_t i = 1; i < at.size(); ++i) {
      const double from = std::clamp(at[i - 1], 0.0, 1.0), to = std::clamp(at[i], 0.0, 1.0);
      if (to <= from) continue;
      deepest = std::max(deepest, depth(s.a + d * ((from + to) / 2.0), b));
    }
    deepest = std::max(deepest, depth(s.a, b));
  }
  return deepest;
}

// A place well inside: on a line through the middle of the ring's height, the widest run.
Vec2 place_inside(const std::vector<Segment>& sides, const Box& box) {
  Vec2 best = sides.front().a;
  double widest = 0.0;
  for (const double share : {0.5, 0.31, 0.73}) {
    const double y = box.min.y + share * box.height();
    std::vector<double> xs;
    for (const Segment& s : sides) {
      if ((s.a.y > y) != (s.b.y > y)) {
        xs.push_back(s.a.x + (y - s.a.y) * (s.b.x - s.a.x) / (s.b.y - s.a.y));
      }
    }
    std::sort(xs.begin(), xs.end());
    for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
      if (xs[i + 1] - xs[i] > widest) {
        widest = xs[i + 1] - xs[i];
        best = {(xs[i] + xs[i + 1]) / 2.0, y};
      }
    }
  }
  return best;
}

}  // namespace

double outline_distance(const std::vector<Vec2>& a, const std::vector<Vec2>& b) {
  const std::vector<Segment> as = sides_of(a), bs = sides_of(b);
  if (inside(a.front(), bs) || inside(b.front(), as)) return 0.0;
  double least = std::numeric_limits<double>::infinity();
  for (const Segment& s : as) {
    for (const Segment& t : bs) least = std::min(least, between(s, t));
  }
  return least;
}

double overlap_depth(const std::vector<Vec2>& a, const std::vector<Vec2>& b) {
  const Box box_a = box_of(a), box_b = box_of(b);
  if (!box_a.overlaps(box_b)) return 0.0;
  const std::vector<Segment> as = sides_of(a), bs = sides_of(b);
  // Equal outlines have no boundary inside each other.
  return std::max({boundary_depth(as, bs),
                   boundary_depth(bs, as),
                   depth(place_inside(as, box_a), bs),
                   depth(place_inside(bs, box_b), as)});
}

std::optional<PackingFault> find_packing_fault(const std::vector<std::vector<Vec2>>& lying,
                                               const Box& room,
                                               double clearance_mm) {
  PackingFault worst;
  const auto note = [&](std::size_t i, std::size_t k, double by) {
    if (by > worst.by_mm) worst = {i, k, by};
  };
  std::vector<Box> boxes;
  for (const auto& ring : lying) boxes.push_back(box_of(ring));
  for (std::size_t i = 0; i < lying.size(); ++i) {
    note(i, i, room.min.x - boxes[i].min.x);
    note(i, i, room.min.y - boxes[i].min.y);
    note(i, i, boxes[i].max.x - room.max.x);
    note(i, i, boxes[i].max.y - room.max.y);
    for (std::size_t k = i + 1; k < lying.size(); ++k) {
      if (!boxes[i].grown(clearance_mm + kRounding).overlaps(boxes[k])) continue;
      note(i,
           k,
           clearance_mm > 0.0 ? clearance_mm - outline_distance(lying[i], lying[k])
                              : overlap_depth(lying[i], lying[k]));
    }
  }
  if (worst.by_mm <= kRounding) return std::nullopt;
  return worst;
}

}  // namespace underdraw
