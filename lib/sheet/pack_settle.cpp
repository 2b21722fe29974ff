#include "sheet/pack_settle.h"

#include <array>
#include <utility>

#include "geometry/path.h"

namespace underdraw {
namespace {

constexpr double kTouch = 2e-10;  // mm
constexpr int kMostRounds = 20000;
constexpr double kHair = 0.01;  // of the largest shape: deeper overlaps are not settled

using Triangle = std::array<Vec2, 3>;

bool in_triangle(Vec2 p, const Triangle& t) {
  return cross(t[1] - t[0], p - t[0]) >= 0.0 && cross(t[2] - t[1], p - t[1]) >= 0.0 &&
         cross(t[0] - t[2], p - t[2]) >= 0.0;
}

// A simple ring of positive area as triangles, by cutting off ears.
std::vector<Triangle> triangles_of(std::vector<Vec2> ring) {
  std::vector<Triangle> out;
  while (ring.size() > 3) {
    const std::size_t n = ring.size();
    std::size_t ear = n;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < n; ++i) {
      const Triangle t{ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]};
      const double area = cross(t[1] - t[0], t[2] - t[0]);
      if (area <= 0.0) continue;
      bool empty = true;
      for (std::size_t k = 0; k < n && empty; ++k) {
        if (k == i || k == (i + 1) % n || k == (i + n - 1) % n) continue;
        empty = !in_triangle(ring[k], t) || ring[k] == t[0] || ring[k] == t[2];
      }
      // The shortest cut leaves the fewest slivers.
      if (empty && distance(t[0], t[2]) < least) {
        least = distance(t[0], t[2]);
        ear = i;
      }
    }
    if (ear == n) break;  // what is left has no area to speak of
    out.push_back({ring[(ear + n - 1) % n], ring[ear], ring[(ear + 1) % n]});
    ring.erase(ring.begin() + static_cast<std::ptrdiff_t>(ear));
  }
  if (ring.size() == 3 && signed_area(ring) > 0.0) out.push_back({ring[0], ring[1], ring[2]});
  return out;
}

struct Piece {
  Triangle corners;
  std::array<Vec2, 3> out;  // unit, over each side
  Box box;
};

struct Lying {
  std::vector<Piece> pieces;
  Box box;    // of the pieces
  Box walls;  // for the room's edges
  Vec2 at;

  Box place() const { return {box.min + at, box.max + at}; }
};

struct Push {
  double depth = 0.0;
  Vec2 way;  // unit; of the second shape
};

// The shortest way for b, moved by `from_a`, over one side of either; depth 0 when they are apart.
Push push_apart(const Piece& a, const Piece& b, Vec2 from_a) {
  Push best{std::numeric_limits<double>::infinity(), {}};
  for (std::size_t s = 0; s < 3; ++s) {
    double inside_a = -std::numeric_limits<double>::infinity(), inside_b = inside_a;
    for (std::size_t c = 0; c < 3; ++c) {
      inside_a = std::max(inside_a, dot(a.corners[s] - b.corners[c] - from_a, a.out[s]));
      inside_b = std::max(inside_b, dot(b.corners[s] + from_a - a.corners[c], b.out[s]));
    }
    if (inside_a <= 0.0 || inside_b <= 0.0) return {};
    if (inside_a < best.depth) best = {inside_a, a.out[s]};
    if (inside_b < best.depth) best = {inside_b, -b.out[s]};
  }
  return best;
}

double push_apart(Lying& a, Lying& b) {
  double deepest = 0.0;
  for (const Piece& p : a.pieces) {
    const Vec2 from_a = b.at - a.at;
    const Box reach{b.box.min + from_a, b.box.max + from_a};
    if (!p.box.overlaps(reach)) continue;
    for (const Piece& q : b.pieces) {
      const Vec2 now = b.at - a.at;
      if (!p.box.overlaps({q.box.min + now, q.box.max + now})) continue;
      const Push push = push_apart(p, q, now);
      if (push.depth <= 0.0) continue;
      deepest = std::max(deepest, push.depth);
      a.at += push.way * (-push.depth / 2.0);
      b.at += push.way * (push.depth / 2.0);
    }
  }
  return deepest;
}

double push_inside(Lying& shape, const Box& room) {
  const Box box{shape.walls.min + shape.at, shape.walls.max + shape.at};
  const Vec2 by{std::max(room.min.x - box.min.x, 0.0) - std::max(box.max.x - room.max.x, 0.0),
                std::max(room.min.y - box.min.y, 0.0) - std::max(box.max.y - room.max.y, 0.0)};
  shape.at += by;
  return std::max(std::abs(by.x), std::abs(by.y));
}

Lying make_lying(const PackShape& shape, const PackPose& pose) {
  Lying out;
  out.at = pose.at;
  out.walls = shape.box_at(pose.turn_deg);
  std::vector<Vec2> ring = shape.outline();
  for (Vec2& p : ring) {
    p = Affine::turn_deg(pose.turn_deg) * p;
    out.box.add(p);
  }
  for (const Triangle& t : triangles_of(ring)) {
    Piece piece{t, {}, {}};
    for (std::size_t i = 0; i < 3; ++i) {
      piece.out[i] = -normalized(perpendicular(t[(i + 1) % 3] - t[i]));
      piece.box.add(t[i]);
    }
    out.pieces.push_back(piece);
  }
  return out;
}

}  // namespace

std::optional<std::vector<PackPose>> settle_poses(const std::vector<const PackShape*>& shapes,
                                                  const std::vector<PackPose>& poses,
                                                  const Box& room) {
  std::vector<Lying> lying;
  double reach = 0.0;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    lying.push_back(make_lying(*shapes[i], poses[i]));
    reach = std::max(reach, shapes[i]->reach());
  }
  std::vector<std::pair<std::size_t, std::size_t>> near;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    for (std::size_t k = i + 1; k < shapes.size(); ++k) {
      if (lying[i].place().grown(kHair * reach).overlaps(lying[k].place())) near.push_back({i, k});
    }
  }
  double deepest = 1.0;
  for (int round = 0; round < kMostRounds && deepest > kTouch; ++round) {
    deepest = 0.0;
    for (const auto& [i, k] : near) {
      if (!lying[i].place().overlaps(lying[k].place())) continue;
      deepest = std::max(deepest, push_apart(lying[i], lying[k]));
    }
    for (Lying& shape : lying) deepest = std::max(deepest, push_inside(shape, room));
    if (deepest > kHair * reach) return std::nullopt;
  }
  if (deepest > kTouch) return std::nullopt;
  std::vector<PackPose> out = poses;
  for (std::size_t i = 0; i < shapes.size(); ++i) out[i].at = lying[i].at;
  return out;
}

}  // namespace underdraw
