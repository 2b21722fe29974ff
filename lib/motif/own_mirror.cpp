#include "motif/own_mirror.h"

#include <algorithm>
#include <iterator>
#include <vector>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr std::size_t kProbes = 600;  // points of the drawing that are folded
constexpr std::size_t kMostMarks = 20000;
constexpr double kAgreeingTurn = 0.70;  // cosine of the largest angle between agreeing lines, 45°
constexpr double kCapInNears = 3.0;     // farther than this counts no more: strays do not steer

// A point on a line of the drawing, with its direction; dots have none.
struct LinePoint {
  Vec2 at;
  Vec2 along;
};

std::vector<Path> all_paths(const Linework& lines) {
  std::vector<Path> paths;
  for (const Stroke& s : lines.strokes) paths.push_back(s.path);
  for (const Area& a : lines.areas) paths.insert(paths.end(), a.rings.begin(), a.rings.end());
  return paths;
}

// Points evenly spaced by length, at least one a path. Every path starts half a step in, so short
// paths weigh by their length on average.
std::vector<LinePoint> spread(const std::vector<Path>& paths, double step) {
  std::vector<LinePoint> out;
  for (const Path& path : paths) {
    if (path.points.empty()) continue;
    const std::vector<Vec2> corners = sample(path, step / 4.0);
    const std::size_t before = out.size();
    double next = step / 2.0;
    double passed = 0.0;
    for (std::size_t i = 1; i < corners.size(); ++i) {
      const double piece = distance(corners[i - 1], corners[i]);
      const Vec2 along = normalized(corners[i] - corners[i - 1]);
      for (; next <= passed + piece; next += step) {
        out.push_back({corners[i - 1] + along * (next - passed), along});
      }
      passed += piece;
    }
    if (out.size() == before) {
      const Vec2 middle = corners[corners.size() / 2];
      out.push_back({middle, normalized(corners.back() - corners.front())});
    }
  }
  return out;
}

double total_length(const std::vector<Path>& paths) {
  double sum = 0.0;
  for (const Path& path : paths) sum += path.length();
  return sum;
}

// Distance to the nearest mark, at the nodes of a grid, capped; read off between nodes.
class DistanceField {
 public:
  DistanceField(const std::vector<LinePoint>& marks, const Box& box, double cell, double cap)
      : origin_(box.min - Vec2{cap, cap}), cell_(cell), cap_(cap) {
    columns_ = static_cast<int>(std::ceil((box.width() + 2 * cap) / cell)) + 2;
    rows_ = static_cast<int>(std::ceil((box.height() + 2 * cap) / cell)) + 2;
    values_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), cap);
    const int reach = static_cast<int>(std::ceil(cap / cell));
    for (const LinePoint& mark : marks) {
      const Vec2 at = (mark.at - origin_) / cell_;
      const int cx = static_cast<int>(at.x);
      const int cy = static_cast<int>(at.y);
      for (int y = std::max(0, cy - reach); y <= std::min(rows_ - 1, cy + reach); ++y) {
        for (int x = std::max(0, cx - reach); x <= std::min(columns_ - 1, cx + reach); ++x) {
          double& value = node(x, y);
          value = std::min(value, cell_ * length(at - Vec2{double(x), double(y)}));
        }
      }
    }
  }

  double at(Vec2 p) const {
    const Vec2 g = (p - origin_) / cell_;
    if (!(g.x >= 0 && g.y >= 0 && g.x < columns_ - 1 && g.y < rows_ - 1)) return cap_;
    const int x = static_cast<int>(g.x);
    const int y = static_cast<int>(g.y);
    const double u = g.x - x;
    const double v = g.y - y;
    return (node(x, y) * (1 - u) + node(x + 1, y) * u) * (1 - v) +
           (node(x, y + 1) * (1 - u) + node(x + 1, y + 1) * u) * v;
  }

 private:
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) +
           static_cast<std::size_t>(x);
  }
  double& node(int x, int y) { return values_[index(x, y)]; }
  double node(int x, int y) const { return values_[index(x, y)]; }

  Vec2 origin_;
  double cell_, cap_;
  int columns_ = 0, rows_ = 0;
  std::vector<double> values_;
};

// A line at `angle` (radians), `offset` away from the centroid along its normal.
struct Axis {
  double angle = 0.0;
  double offset = 0.0;

  Vec2 direction() const { return {std::cos(angle), std::sin(angle)}; }
  Vec2 point(Vec2 centroid) const { return centroid + perpendicular(direction()) * offset; }
};

Vec2 folded(Vec2 p, Vec2 on_axis, Vec2 direction) {
  const Vec2 r = p - on_axis;
  return on_axis + direction * (2.0 * dot(r, direction)) - r;
}

struct Fit {
  Axis axis;
  double cost = 0.0;   // mean of squared, capped distances
  double share = 0.0;  // exact figures, filled in last
  double rms = 0.0;
  double largest = 0.0;
};

class Folding {
 public:
  Folding(const std::vector<Path>& paths, const Box& box, double near)
      : near_(near), total_(total_length(paths)) {
    probes_ = spread(paths, std::max(total_ / kProbes, 1e-3));
    marks_ = spread(paths, std::max(near / 8.0, total_ / kMostMarks));
    std::sort(marks_.begin(), marks_.end(), [](const LinePoint& a, const LinePoint& b) {
      return a.at.x < b.at.x;
    });
    for (const LinePoint& p : probes_) centroid_ += p.at;
    centroid_ = centroid_ / static_cast<double>(probes_.size());
    const double cell = std::max(near / 4.0, std::max(box.width(), box.height()) / 400.0);
    field_.emplace_back(marks_, box, cell, kCapInNears * near);
  }

  Vec2 centroid() const { return centroid_; }

  double cost(const Axis& axis) const {
    const Vec2 on_axis = axis.point(centroid_);
    const Vec2 direction = axis.direction();
    double sum = 0.0;
    for (const LinePoint& p : probes_) {
      const double d = field_.front().at(folded(p.at, on_axis, direction));
      sum += d * d;
    }
    return sum / static_cast<double>(probes_.size());
  }

  // Pattern search on angle and offset.
  Fit refined(Axis axis, double size) const {
    double best = cost(axis);
    double turn = radians(1.5);
    double shift = near_;
    while (turn * size > near_ / 100.0) {
      bool better = false;
      for (const auto& [da, dn] :
           {std::pair{turn, 0.0}, {-turn, 0.0}, {0.0, shift}, {0.0, -shift}}) {
        const Axis trial{axis.angle + da, axis.offset + dn};
        const double c = cost(trial);
        if (c < best) {
          best = c;
          axis = trial;
          better = true;
        }
      }
      if (!better) {
        turn /= 2.0;
        shift /= 2.0;
      }
    }
    return {axis, best, 0, 0, 0};
  }

  // Exact distances, and lines must run the same way to agree: in dense hatching something is
  // always near.
  void measure(Fit& fit) const {
    const Vec2 on_axis = fit.axis.point(centroid_);
    const Vec2 direction = fit.axis.direction();
    double agreeing = 0.0;
    double sum = 0.0;
    for (const LinePoint& p : probes_) {
      const Vec2 at = folded(p.at, on_axis, direction);
      const Vec2 along = folded(p.along, {0, 0}, direction);
      const Nearest found = nearest(at, along);
      agreeing += found.agrees ? 1.0 : 0.0;
      sum += found.distance * found.distance;
      fit.largest = std::max(fit.largest, found.distance);
    }
    fit.share = agreeing / static_cast<double>(probes_.size());
    fit.rms = std::sqrt(sum / static_cast<double>(probes_.size()));
  }

 private:
  struct Nearest {
    double distance = std::numeric_limits<double>::infinity();
    bool agrees = false;
  };

  // Looks left and right along x until everything else is too far in x alone.
  Nearest nearest(Vec2 at, Vec2 along) const {
    Nearest out;
    const auto look = [&](const LinePoint& mark) {
      const Vec2 r = at - mark.at;
      if (std::abs(r.x) > std::max(out.distance, near_)) return false;
      const double d = length(r);
      out.distance = std::min(out.distance, d);
      const bool dotted = mark.along == Vec2{} || along == Vec2{};
      if (d <= near_ && (dotted || std::abs(dot(mark.along, along)) >= kAgreeingTurn)) {
        out.agrees = true;
      }
      return true;
    };
    const auto middle =
        std::lower_bound(marks_.begin(), marks_.end(), at.x, [](const LinePoint& m, double x) {
          return m.at.x < x;
        });
    for (auto right = middle; right != marks_.end() && look(*right); ++right) {
    }
    for (auto left = middle; left != marks_.begin() && look(*std::prev(left)); --left) {
    }
    return out;
  }

  double near_;
  double total_;
  std::vector<LinePoint> probes_, marks_;
  Vec2 centroid_;
  std::vector<DistanceField> field_;  // one
};

// Of axes that fit about equally well (a round flower has many) the most upright one is named.
bool is_preferred(const Fit& a, const Fit& b, double near) {
  if (std::abs(a.share - b.share) > 0.01) return a.share > b.share;
  if (std::abs(a.rms - b.rms) > 0.15 * near) return a.rms < b.rms;
  const auto lean = [](const Fit& f) { return std::abs(std::cos(f.axis.angle)); };
  return lean(a) < lean(b);
}

}  // namespace

void OwnMirrorOptions::validate() const {
  require_between(near_mm, 0.01, 20.0, "near_mm", "mm");
  require_between(near_share, 0.0, 0.2, "near_share", "");
  require_between(least_share, 0.5, 1.0, "least_share", "");
}

OwnMirror own_mirror(const Linework& lines, const OwnMirrorOptions& options) {
  options.validate();
  const std::vector<Path> paths = all_paths(lines);
  Box box;
  for (const Path& path : paths) box.add(path.box());
  if (box.empty()) return {};
  const double size = std::max(box.width(), box.height());
  const double near = std::max(options.near_mm, options.near_share * size);
  const Folding folding(paths, box, near);

  // The centroid of a symmetric drawing lies on its axis; a hand moves it a little. Two degrees
  // move the rim of a drawing by less than what the field's cap can see (3 x 2 % of its size).
  std::vector<Fit> candidates;
  for (double deg = 0.0; deg < 180.0; deg += 2.0) {
    const Axis axis{radians(deg), 0.0};
    candidates.push_back({axis, folding.cost(axis), 0, 0, 0});
  }
  std::vector<Fit> kept;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    const std::size_t n = candidates.size();
    if (candidates[i].cost <= candidates[(i + 1) % n].cost &&
        candidates[i].cost <= candidates[(i + n - 1) % n].cost) {
      kept.push_back(candidates[i]);
    }
  }
  std::sort(kept.begin(), kept.end(), [](const Fit& a, const Fit& b) { return a.cost < b.cost; });
  if (kept.size() > 6) kept.resize(6);
  kept.push_back(candidates[45]);  // upright, which a round flower has too
  for (Fit& fit : kept) {
    fit = folding.refined(fit.axis, std::max(size, near));
    folding.measure(fit);
  }
  const Fit best = *std::min_element(kept.begin(), kept.end(), [&](const Fit& a, const Fit& b) {
    return is_preferred(a, b, near);
  });
  double angle = std::fmod(degrees(best.axis.angle), 180.0);
  if (angle < 0.0) angle += 180.0;
  return {.symmetric = best.share >= options.least_share,
          .axis_deg = angle,
          .on_axis = best.axis.point(folding.centroid()),
          .share = best.share,
          .rms_mm = best.rms,
          .largest_mm = best.largest};
}

}  // namespace underdraw
