#include "repeat/scatter_gaps.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

struct Segment {
  Vec2 a, b;
};

struct Nearest {
  double mm = 1e300;
  Vec2 on_first, on_second;
};

Vec2 nearest_on(Vec2 p, const Segment& s) {
  const Vec2 way = s.b - s.a;
  const double square = dot(way, way);
  const double t = square > 0.0 ? std::clamp(dot(p - s.a, way) / square, 0.0, 1.0) : 0.0;
  return s.a + way * t;
}

bool crossing(const Segment& s, const Segment& t) {
  const double a = cross(s.b - s.a, t.a - s.a), b = cross(s.b - s.a, t.b - s.a);
  const double c = cross(t.b - t.a, s.a - t.a), d = cross(t.b - t.a, s.b - t.a);
  return ((a > 0.0) != (b > 0.0)) && ((c > 0.0) != (d > 0.0));
}

Nearest nearest(const std::vector<Segment>& first, const std::vector<Segment>& second) {
  Nearest best;
  const auto note = [&](Vec2 p, Vec2 q) {
    const double mm = distance(p, q);
    if (mm < best.mm) best = {mm, p, q};
  };
  for (const Segment& s : first) {
    for (const Segment& t : second) {
      if (crossing(s, t)) return {0.0, s.a, t.a};
      note(s.a, nearest_on(s.a, t));
      note(s.b, nearest_on(s.b, t));
      note(nearest_on(t.a, s), t.a);
      note(nearest_on(t.b, s), t.b);
    }
  }
  return best;
}

Affine paper_from_motif(const CrowdCopy& copy) {
  const Affine turn = Affine::turn_deg(degrees(copy.turn));
  return copy.mirrored ? turn * Affine::mirror_x() : turn;
}

// The parts of one copy's outline, on its own paper, that may be nearest to the other's.
struct Facing {
  std::vector<Segment> parts;
  double least_mm = 1e300;  // as the other's table has it
};

Facing facing(const Crowd& crowd, const CrowdCopy& own, const CrowdCopy& other, double beyond_mm) {
  const ScatterForm& form = crowd.form_of(own);
  const ScatterForm& target = crowd.form_of(other);
  const Affine on_paper = paper_from_motif(own);
  const Affine in_motif = paper_from_motif(other).inverse();
  const Crowd::Frame way = crowd.frame(other.at, own.at);
  const double error = target.distance.cell_mm();
  const double reach = target.radius_mm + beyond_mm + error + form.exact_step_mm;
  struct Spot {
    const std::vector<Vec2>* ring;
    std::size_t index;
    double mm;
  };
  std::vector<Spot> spots;
  Facing out;
  for (const auto& ring : form.exact) {
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Vec2 there = way.from_b(on_paper * ring[i]);
      if (dot(there, there) > reach * reach) continue;
      const Vec2 m = in_motif * there;
      if (!target.distance.covers(m)) continue;
      const SignedDistance d = target.distance.at(m);
      if (d.mm > beyond_mm + error + form.exact_step_mm) continue;
      spots.push_back({&ring, i, d.mm});
      out.least_mm = std::min(out.least_mm, d.mm);
    }
  }
  // The nearest spot of all is no further than the table says, give or take its error.
  for (const Spot& spot : spots) {
    const std::vector<Vec2>& ring = *spot.ring;
    const Vec2 p = ring[spot.index];
    const Vec2 next = ring[(spot.index + 1) % ring.size()];
    const Vec2 before = ring[(spot.index + ring.size() - 1) % ring.size()];
    const double nearest = spot.mm - 2.0 * error;
    if (nearest - distance(p, next) / 2.0 <= out.least_mm) {
      out.parts.push_back({on_paper * p, on_paper * next});
    }
    if (nearest - distance(before, p) / 2.0 <= out.least_mm) {
      out.parts.push_back({on_paper * before, on_paper * p});
    }
  }
  return out;
}

}  // namespace

double gap_between(const Crowd& crowd,
                   const Surface& surface,
                   const CrowdCopy& a,
                   const CrowdCopy& b,
                   double beyond_mm) {
  const Facing first = facing(crowd, a, b, beyond_mm);
  const Facing second = facing(crowd, b, a, beyond_mm);
  const double cell =
      std::max(crowd.form_of(a).distance.cell_mm(), crowd.form_of(b).distance.cell_mm());
  const double least = std::min(first.least_mm, second.least_mm);
  if (least < -cell) return least;  // one well inside the other
  if (first.parts.empty() || second.parts.empty()) return beyond_mm;
  // On the paper that touches the face half way between the two, then where they are closest.
  const auto laid = [&](FacePoint middle) {
    const auto on_middle = [&](const std::vector<Segment>& parts, FacePoint at) {
      std::vector<Segment> out;
      out.reserve(parts.size());
      const auto moved = [&](Vec2 p) { return surface.paper_at(middle, surface.laid(at, p)); };
      for (const Segment& s : parts) out.push_back({moved(s.a), moved(s.b)});
      return out;
    };
    return nearest(on_middle(first.parts, a.at), on_middle(second.parts, b.at));
  };
  FacePoint middle = surface.laid(a.at, crowd.frame(a.at, b.at).at / 2.0);
  Nearest best = laid(middle);
  if (!surface.developable()) {
    middle = surface.laid(middle, mix(best.on_first, best.on_second, 0.5));
    best = laid(middle);
  }
  return std::min(best.mm, beyond_mm);
}

std::vector<std::vector<FacePoint>> laid_outline(const Surface& surface,
                                                 const Rings& rings,
                                                 const CrowdCopy& copy) {
  const Affine on_paper = paper_from_motif(copy);
  std::vector<std::vector<FacePoint>> out;
  for (const auto& ring : rings) {
    auto& laid = out.emplace_back();
    laid.reserve(ring.size());
    for (const Vec2 p : ring) laid.push_back(surface.laid(copy.at, on_paper * p));
  }
  return out;
}

}  // namespace underdraw
