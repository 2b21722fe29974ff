#include "sheet/prick_dots.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

namespace underdraw {
namespace {

constexpr double kCornerDeg = 25.0;  // a turn that a curve through holes would round off
constexpr double kStep = 0.05;       // of lengths along the line, mm
constexpr double kOneHole = 0.4;     // holes closer than this are one
constexpr double kTears = 0.5;       // pitches; closer holes that nothing asks for are left out

// One line between two places that are always pricked.
struct Stretch {
  std::vector<Vec2> points;
  double length() const { return polyline_length(points); }
  Vec2 at(double length_mm) const {
    for (std::size_t i = 1; i < points.size(); ++i) {
      const double step = distance(points[i - 1], points[i]);
      if (step > 0.0 && length_mm <= step) return mix(points[i - 1], points[i], length_mm / step);
      length_mm -= step;
    }
    return points.back();
  }
};

// Direction at the ends of a piece; handles may have no length.
Vec2 leaving(const Cubic& c) {
  for (const Vec2 p : {c.p1, c.p2, c.p3}) {
    if (distance(p, c.p0) > 1e-9) return normalized(p - c.p0);
  }
  return {};
}
Vec2 arriving(const Cubic& c) { return -leaving({c.p3, c.p2, c.p1, c.p0}); }

std::vector<Stretch> stretches_of(const Path& path) {
  std::vector<Stretch> out;
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic piece = path.piece(i);
    const bool corner =
        i == 0 || angle_between(arriving(path.piece(i - 1)), leaving(piece)) > radians(kCornerDeg);
    if (corner) out.push_back({{piece.p0}});
    Path one;
    one.append(piece);
    const std::vector<Vec2> points = sample(one, kStep);
    out.back().points.insert(out.back().points.end(), points.begin() + 1, points.end());
  }
  return out;
}

// Holes by square cells, so that only near ones are compared.
class Holes {
 public:
  explicit Holes(double cell) : cell_(cell) {}

  bool any_within(Vec2 at, double reach) const {
    for (long y = line(at.y - reach); y <= line(at.y + reach); ++y) {
      for (long x = line(at.x - reach); x <= line(at.x + reach); ++x) {
        const auto [from, to] = cells_.equal_range(key(x, y));
        if (std::any_of(from, to, [&](const auto& e) { return distance(e.second, at) < reach; })) {
          return true;
        }
      }
    }
    return false;
  }
  void add(Vec2 at) { cells_.emplace(key(line(at.x), line(at.y)), at); }

 private:
  long line(double v) const { return static_cast<long>(std::floor(v / cell_)); }
  static long key(long x, long y) { return x * 1'000'003 + y; }
  double cell_;
  std::unordered_multimap<long, Vec2> cells_;
};

}  // namespace

std::vector<Vec2> prick_dots(const Linework& lines, double pitch_mm) {
  std::vector<const Path*> paths;
  for (const Stroke& stroke : lines.strokes) paths.push_back(&stroke.path);
  for (const Area& area : lines.areas) {
    for (const Path& ring : area.rings) paths.push_back(&ring);
  }
  Holes holes(pitch_mm);
  std::vector<Vec2> out;
  const auto prick = [&](Vec2 at, double least) {
    if (holes.any_within(at, least)) return;
    holes.add(at);
    out.push_back(at);
  };
  std::vector<Stretch> stretches;
  for (const Path* path : paths) {
    if (path->points.empty()) continue;
    if (path->is_dot()) {
      prick(path->points.front(), kOneHole);
      continue;
    }
    for (Stretch& stretch : stretches_of(*path)) {
      prick(stretch.points.front(), kOneHole);
      prick(stretch.points.back(), kOneHole);
      stretches.push_back(std::move(stretch));
    }
  }
  for (const Stretch& stretch : stretches) {
    const double length = stretch.length();
    const int steps = std::max(1, static_cast<int>(std::ceil(length / pitch_mm - 1e-6)));
    for (int k = 1; k < steps; ++k) {
      prick(stretch.at(length * k / steps), std::min(kTears * pitch_mm, 0.9 * length / steps));
    }
  }
  return out;
}

}  // namespace underdraw
