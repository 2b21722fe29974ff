#include "sheet/pack_shape.h"

#include "core/error.h"
#include "geometry/path.h"
#include "geometry/rings.h"

namespace underdraw {
namespace {

constexpr std::size_t kMostCircles = 8;
constexpr double kEnoughCovered = 0.85;  // of the area, by circles
constexpr double kLeastRadius = 0.06;    // of the largest circle
constexpr int kGrid = 44;                // first guesses for circles, across the larger side

std::vector<Vec2> without_repeats(const std::vector<Vec2>& ring) {
  std::vector<Vec2> out;
  for (const Vec2 p : ring) {
    if (out.empty() || distance(out.back(), p) > 1e-9) out.push_back(p);
  }
  while (out.size() > 1 && distance(out.front(), out.back()) <= 1e-9) out.pop_back();
  if (out.size() < 3 || !(std::abs(signed_area(out)) > 1e-9)) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = "an outline to pack has no area",
                         .expected = {},
                         .remedy = {}});
  }
  if (signed_area(out) < 0.0) std::reverse(out.begin(), out.end());
  // Corners that are none only cost time.
  std::vector<Vec2> corners;
  for (std::size_t i = 0; i < out.size(); ++i) {
    const Vec2 before = corners.empty() ? out.back() : corners.back();
    const Vec2 after = out[(i + 1) % out.size()];
    if (std::abs(cross(out[i] - before, after - before)) > 1e-12 * distance(before, after) ||
        dot(out[i] - before, after - out[i]) < 0.0) {
      corners.push_back(out[i]);
    }
  }
  return corners.size() >= 3 ? corners : out;
}

Vec2 centroid(const std::vector<Vec2>& ring) {
  Vec2 sum;
  double area = 0.0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Vec2 a = ring[i] - ring[0], b = ring[(i + 1) % ring.size()] - ring[0];
    sum += (a + b) * cross(a, b);
    area += cross(a, b);
  }
  return ring[0] + sum / (3.0 * area);
}

// Every side moved inwards, corners where neighbours then meet.
std::vector<Vec2> moved_inwards(const std::vector<Vec2>& ring, double by) {
  std::vector<Vec2> out;
  const std::size_t n = ring.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 in = normalized(perpendicular(ring[i] - ring[(i + n - 1) % n]));
    const Vec2 next = normalized(perpendicular(ring[(i + 1) % n] - ring[i]));
    const double spread = std::max(1.0 + dot(in, next), 0.02);  // needles keep their tips
    out.push_back(ring[i] + (in + next) * (by / spread));
  }
  return out;
}

// Positive inside.
double depth_inside(Vec2 p, const std::vector<Vec2>& ring) {
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < ring.size(); ++i) {
    nearest = std::min(nearest, distance_to_segment(p, ring[i], ring[(i + 1) % ring.size()]));
  }
  return inside(ring, p) ? nearest : -nearest;
}

// Largest first; each as large as those before it leave room for.
std::vector<PackShape::Circle> circles_inside(const std::vector<Vec2>& ring, double area) {
  const Box box = box_of(ring);
  const double pitch = std::max(box.width(), box.height()) / kGrid;
  std::vector<PackShape::Circle> guesses;
  for (double y = box.min.y + pitch / 2.0; y < box.max.y; y += pitch) {
    for (double x = box.min.x + pitch / 2.0; x < box.max.x; x += pitch) {
      const double r = depth_inside({x, y}, ring);
      if (r > 0.0) guesses.push_back({{x, y}, r});
    }
  }
  std::vector<PackShape::Circle> out;
  const auto room_at = [&](Vec2 p) {
    double r = depth_inside(p, ring);
    for (const auto& c : out) r = std::min(r, distance(p, c.at) - c.r);
    return r;
  };
  double covered = 0.0;
  while (out.size() < kMostCircles && covered < kEnoughCovered * area) {
    PackShape::Circle best;
    for (auto& guess : guesses) {
      if (!out.empty()) {
        guess.r = std::min(guess.r, distance(guess.at, out.back().at) - out.back().r);
      }
      if (guess.r > best.r) best = guess;
    }
    if (guesses.empty()) best = {centroid(ring), 0.0};
    for (double step = pitch; step > 1e-3 * pitch; step /= 2.0) {
      for (bool better = true; better;) {
        better = false;
        for (const Vec2 way : {Vec2{1, 0}, Vec2{-1, 0}, Vec2{0, 1}, Vec2{0, -1}}) {
          const double r = room_at(best.at + way * step);
          if (r > best.r) {
            best = {best.at + way * step, r};
            better = true;
          }
        }
      }
    }
    if (best.r <= 0.0 || (!out.empty() && best.r < kLeastRadius * out.front().r)) break;
    out.push_back(best);
    covered += std::numbers::pi * best.r * best.r;
  }
  if (out.empty()) out.push_back({ring[0], 0.0});  // a hair: its sides tell
  return out;
}

constexpr std::size_t kLanes = 4;  // circles reckoned side by side

bool sides_meet(Vec2 a, Vec2 b, Vec2 c, Vec2 d) {
  if (std::min(a.x, b.x) > std::max(c.x, d.x) || std::min(c.x, d.x) > std::max(a.x, b.x) ||
      std::min(a.y, b.y) > std::max(c.y, d.y) || std::min(c.y, d.y) > std::max(a.y, b.y)) {
    return false;
  }
  const Vec2 ab = b - a, cd = d - c;
  return cross(ab, c - a) * cross(ab, d - a) <= 0.0 && cross(cd, a - c) * cross(cd, b - c) <= 0.0;
}

bool holds(const TurnedShape& shape, Vec2 p) {
  bool inside = false;
  for (std::size_t i = 0; i + 1 < shape.x.size(); ++i) {
    const double ay = shape.y[i], by = shape.y[i + 1];
    if ((ay > p.y) != (by > p.y) &&
        p.x < shape.x[i] + (p.y - ay) * (shape.x[i + 1] - shape.x[i]) / (by - ay)) {
      inside = !inside;
    }
  }
  return inside;
}

bool skins_meet(const TurnedShape& a, const TurnedShape& b, Vec2 from_a) {
  const Box there{b.skin_box.min + from_a, b.skin_box.max + from_a};
  const Vec2 low{std::max(a.skin_box.min.x, there.min.x), std::max(a.skin_box.min.y, there.min.y)};
  const Vec2 high{std::min(a.skin_box.max.x, there.max.x), std::min(a.skin_box.max.y, there.max.y)};
  const auto near = [&](Vec2 p, Vec2 q) {
    return std::max(p.x, q.x) >= low.x && std::min(p.x, q.x) <= high.x &&
           std::max(p.y, q.y) >= low.y && std::min(p.y, q.y) <= high.y;
  };
  struct Side {
    Vec2 from, to;
  };
  thread_local std::vector<Side> sides;
  sides.clear();
  for (std::size_t i = 0; i + 1 < b.x.size(); ++i) {
    const Vec2 p = Vec2{b.x[i], b.y[i]} + from_a, q = Vec2{b.x[i + 1], b.y[i + 1]} + from_a;
    if (near(p, q)) sides.push_back({p, q});
  }
  if (!sides.empty()) {
    for (std::size_t i = 0; i + 1 < a.x.size(); ++i) {
      const Vec2 p{a.x[i], a.y[i]}, q{a.x[i + 1], a.y[i + 1]};
      if (!near(p, q)) continue;
      for (const Side& side : sides) {
        if (sides_meet(p, q, side.from, side.to)) return true;
      }
    }
  }
  return (there.contains(a.skin_box) && holds(b, Vec2{a.cx[0], a.cy[0]} - from_a)) ||
         (a.skin_box.contains(there) && holds(a, Vec2{b.cx[0], b.cy[0]} + from_a));
}

}  // namespace

PackShape::PackShape(const std::vector<Vec2>& outline,
                     const Turns& turns,
                     double inset,
                     const std::vector<Vec2>& core,
                     double border)
    : turns_(turns), outline_(without_repeats(outline)), border_(border) {
  middle_ = centroid(outline_);
  for (Vec2& p : outline_) p = p - middle_;
  skin_ = moved_inwards(outline_, inset);
  hull_ = convex_hull(core);
  for (Vec2& p : hull_) p = p - middle_;
  area_ = std::abs(signed_area(outline_));
  size_ = std::sqrt(std::abs(signed_area(convex_hull(outline_))));
  for (const Vec2 p : hull_) {
    for (const Vec2 q : hull_) reach_ = std::max(reach_, distance(p, q) + 2.0 * border);
  }
  circles_ = circles_inside(skin_, area_);
  if (turns_.free) return;
  for (const double turn : turns_.at_deg) turned_.emplace_back().turn(*this, turn);
}

Box PackShape::box_at(double turn_deg) const {
  const Affine turn = Affine::turn_deg(turn_deg);
  Box box;
  for (const Vec2 p : hull_) box.add(turn * p);
  return box.grown(border_);
}

Affine PackShape::room_from_outline(const PackPose& pose) const {
  return Affine::translate(pose.at) * Affine::turn_deg(pose.turn_deg) * Affine::translate(-middle_);
}

void TurnedShape::turn(const PackShape& whose, double by_deg) {
  const Affine turn = Affine::turn_deg(by_deg);
  shape = &whose;
  turn_deg = by_deg;
  size = whose.size();
  reach = whose.reach();
  box = whose.box_at(by_deg);
  skin_box = {};
  const std::size_t n = whose.skin().size();
  x.resize(n + 1);
  y.resize(n + 1);
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 p = turn * whose.skin()[i];
    x[i] = p.x;
    y[i] = p.y;
    skin_box.add(p);
  }
  x[n] = x[0];
  y[n] = y[0];
  circle_count = whose.circles().size();
  const std::size_t m = (circle_count + kLanes - 1) / kLanes * kLanes;
  cx.assign(m, 1e7F);  // those that only fill up the last lanes are far off and have no size
  cy.assign(m, 1e7F);
  cr.assign(m, 0.0F);
  for (std::size_t i = 0; i < circle_count; ++i) {
    const Vec2 p = turn * whose.circles()[i].at;
    cx[i] = static_cast<float>(p.x);
    cy[i] = static_cast<float>(p.y);
    cr[i] = static_cast<float>(whose.circles()[i].r * (1.0 - 1e-5));  // single precision rounds
  }
}

double overlap(const TurnedShape& a, const TurnedShape& b, Vec2 from_a) {
  const auto dx = static_cast<float>(from_a.x), dy = static_cast<float>(from_a.y);
  bool circles_meet = false;
  for (std::size_t i = 0; i < a.circle_count && !circles_meet; ++i) {
    const float ax = a.cx[i] - dx, ay = a.cy[i] - dy, ar = a.cr[i];
    float nearest[kLanes] = {1.0F, 1.0F, 1.0F, 1.0F};
    for (std::size_t k = 0; k < b.cx.size(); k += kLanes) {
      for (std::size_t l = 0; l < kLanes; ++l) {
        const float ux = b.cx[k + l] - ax, uy = b.cy[k + l] - ay, r = ar + b.cr[k + l];
        const float apart = ux * ux + uy * uy - r * r;
        nearest[l] = apart < nearest[l] ? apart : nearest[l];
      }
    }
    circles_meet = std::min({nearest[0], nearest[1], nearest[2], nearest[3]}) < 0.0F;
  }
  if (!circles_meet && !skins_meet(a, b, from_a)) return 0.0;
  // Depth of a pair of circles; beyond touching it fades instead of ending, so that there is
  // always a way that leads apart.
  const auto soft = static_cast<float>(0.01 * std::max(a.reach, b.reach));
  float sum[kLanes] = {};
  for (std::size_t i = 0; i < a.circle_count; ++i) {
    const float ax = a.cx[i] - dx, ay = a.cy[i] - dy, ar = a.cr[i];
    for (std::size_t k = 0; k < b.cx.size(); k += kLanes) {
      for (std::size_t l = 0; l < kLanes; ++l) {
        const float ux = b.cx[k + l] - ax, uy = b.cy[k + l] - ay, br = b.cr[k + l];
        const float depth = ar + br - std::sqrt(ux * ux + uy * uy);
        const float short_of = depth < soft ? depth : soft;
        const float fading = soft * soft / (2.0F * soft - short_of);
        sum[l] += (depth > fading ? depth : fading) * (ar < br ? ar : br);
      }
    }
  }
  return std::sqrt(static_cast<double>(sum[0] + sum[1] + sum[2] + sum[3]) +
                   static_cast<double>(soft * soft)) *
         std::sqrt(a.size * b.size);
}

}  // namespace underdraw
