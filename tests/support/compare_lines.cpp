#include "support/compare_lines.h"

#include <cmath>
#include <unordered_map>
#include <utility>
#include <vector>

namespace underdraw::test {
namespace {

constexpr double kStep = 0.05;
constexpr double kCell = 1.0;

// Short chords of lines in square cells, so that the nearest is found among a few.
class LineGrid {
 public:
  explicit LineGrid(const Linework& lines) {
    for (const Stroke& s : lines.strokes) {
      const std::vector<Vec2> points = sample(s.path, kStep);
      for (std::size_t i = 0; i < points.size(); ++i) {
        const Vec2 next = points[std::min(i + 1, points.size() - 1)];
        cells_[key(cell(points[i].x), cell(points[i].y))].push_back({points[i], next});
      }
    }
  }

  // Distance to the nearest chord, at most kCell.
  double distance_to(Vec2 p) const {
    double nearest = kCell;
    for (long dy = -1; dy <= 1; ++dy) {
      for (long dx = -1; dx <= 1; ++dx) {
        const auto found = cells_.find(key(cell(p.x) + dx, cell(p.y) + dy));
        if (found == cells_.end()) continue;
        for (const auto& [a, b] : found->second) {
          const double squared = dot(b - a, b - a);
          const double t = squared > 0.0 ? std::clamp(dot(p - a, b - a) / squared, 0.0, 1.0) : 0.0;
          nearest = std::min(nearest, distance(p, mix(a, b, t)));
        }
      }
    }
    return nearest;
  }

 private:
  static long cell(double v) { return static_cast<long>(std::floor(v / kCell)); }
  static long key(long x, long y) { return y * 1000003 + x; }
  std::unordered_map<long, std::vector<std::pair<Vec2, Vec2>>> cells_;
};

struct Reached {
  double share = 0.0;
  double rms = 0.0;
  double worst = 0.0;
};

Reached reached(const Linework& from, const Linework& to, double reach) {
  const LineGrid grid(to);
  double near = 0.0, total = 0.0, squares = 0.0;
  Reached out;
  for (const Stroke& s : from.strokes) {
    for (const Vec2 p : sample(s.path, kStep)) {
      const double d = grid.distance_to(p);
      total += 1.0;
      out.worst = std::max(out.worst, d);
      if (d > reach) continue;
      near += 1.0;
      squares += d * d;
    }
  }
  if (total == 0.0) return out;
  out.share = near / total;
  out.rms = near > 0.0 ? std::sqrt(squares / near) : 0.0;
  return out;
}

}  // namespace

LineAgreement compare_lines(const Linework& traced, const Linework& truth, double reach_mm) {
  const Reached forward = reached(traced, truth, reach_mm);
  return {.recall = reached(truth, traced, reach_mm).share,
          .precision = forward.share,
          .rms_mm = forward.rms,
          .worst_mm = forward.worst};
}

}  // namespace underdraw::test
