#include "piece/dart_lines.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "core/error.h"
#include "piece/creasing.h"

namespace underdraw {
namespace {

constexpr double kTwoPi = 2.0 * std::numbers::pi;
constexpr double kBeyondMm = 1.0;  // cuts begin this far outside the outline
constexpr double kFlatteningMm = 0.02;
constexpr double kStepMm = 0.5;  // of lines, when asking how far they run beside a cut
constexpr int kLeastDirections = 360;
constexpr std::size_t kLevels = 16;  // distances at which the width of a petal is asked
constexpr double kThinnest = 0.45;   // of the widest petal: thinner ones are no use
constexpr std::array<double, 5> kSlants = {0.0, -0.1, 0.1, -0.2, 0.2};  // of the widest petal

// A crossing costs more than any number of cuts, a cut along a line more than any crossings.
constexpr double kCostOfCut = 1.0;
constexpr double kCostOfMm = 0.02;  // of a cut's length
constexpr double kCostOfCrossing = 1e3;
constexpr double kCostOfAlong = 1e6;
constexpr double kNever = std::numeric_limits<double>::infinity();

struct Line {
  Vec2 a, b;
  int stroke;
};

struct Lines {
  std::vector<Line> lines;
  std::vector<double> half_width;  // by stroke
};

Lines lines_of(const Linework& copy) {
  Lines out;
  const auto add = [&](const Path& path, double width) {
    const int stroke = static_cast<int>(out.half_width.size());
    out.half_width.push_back(width / 2.0);
    const std::vector<Vec2> points = flatten(path, kFlatteningMm);
    if (points.size() == 1) out.lines.push_back({points[0], points[0], stroke});
    for (std::size_t i = 1; i < points.size(); ++i) {
      const Vec2 from = points[i - 1], to = points[i];
      const int count = std::max(1, static_cast<int>(std::ceil(distance(from, to) / kStepMm)));
      for (int k = 0; k < count; ++k) {
        out.lines.push_back({mix(from, to, static_cast<double>(k) / count),
                             mix(from, to, static_cast<double>(k + 1) / count),
                             stroke});
      }
    }
  };
  for (const Stroke& stroke : copy.strokes) add(stroke.path, stroke.width_mm);
  for (const Area& area : copy.areas) {
    for (const Path& ring : area.rings) add(ring, 0.0);
  }
  return out;
}

// Directions in equal steps, counted on beyond a full turn.
struct Directions {
  int count = 1;

  double step() const { return kTwoPi / count; }
  double angle(int k) const { return step() * k; }
  Vec2 way(int k) const { return {std::cos(angle(k)), std::sin(angle(k))}; }
  std::size_t index(int k) const { return static_cast<std::size_t>((k % count + count) % count); }
  int steps_down(double angle) const { return static_cast<int>(std::floor(angle / step() + 1e-9)); }
  int steps_up(double angle) const { return static_cast<int>(std::ceil(angle / step() - 1e-9)); }
};

double to_segment(Vec2 p, Vec2 a, Vec2 b) {
  const Vec2 ab = b - a;
  const double square = dot(ab, ab);
  const double t = square > 0.0 ? std::clamp(dot(p - a, ab) / square, 0.0, 1.0) : 0.0;
  return distance(p, a + ab * t);
}

// Farthest that the outline reaches from `middle` in each direction; 0 where it does not.
std::vector<double> reaches_of(const Rings& outline, Vec2 middle, const Directions& to) {
  std::vector<double> farthest(static_cast<std::size_t>(to.count), 0.0);
  for (const auto& ring : outline) {
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Vec2 a = ring[i] - middle, b = ring[(i + 1) % ring.size()] - middle;
      const double turn = std::atan2(cross(a, b), dot(a, b));
      const double from = std::atan2(a.y, a.x) + std::min(turn, 0.0);
      for (int k = to.steps_up(from); k <= to.steps_down(from + std::abs(turn)); ++k) {
        const Vec2 way = to.way(k);
        const double side_a = cross(way, a), side_b = cross(way, b);
        const double t = side_a == side_b ? 0.0 : std::clamp(side_a / (side_a - side_b), 0.0, 1.0);
        double& reach = farthest[to.index(k)];
        reach = std::max(reach, dot(way, mix(a, b, t)));
      }
    }
  }
  return farthest;
}

struct Toll {
  int crossings = 0;
  double along_mm = 0.0;

  double cost() const {
    return kCostOfCut + kCostOfCrossing * crossings + (along_mm > 0.0 ? kCostOfAlong : 0.0);
  }
};

// What a cut meets, among the lines of the directions that it passes.
class TollGate {
 public:
  TollGate(
      const Lines& lines, Vec2 middle, double inner, double clear, const Directions& directions)
      : lines_(lines),
        clear_(clear),
        directions_(directions),
        by_direction_(static_cast<std::size_t>(directions.count)),
        seen_(lines.lines.size(), 0) {
    for (std::size_t i = 0; i < lines.lines.size(); ++i) {
      const Line& line = lines.lines[i];
      const Vec2 at = mix(line.a, line.b, 0.5) - middle;
      const double half = distance(line.a, line.b) / 2.0 +
                          lines.half_width[static_cast<std::size_t>(line.stroke)] + clear;
      const double far = length(at);
      if (far + half < inner) continue;
      const double spread = far > half ? std::asin(half / far) : std::numbers::pi;
      const double angle = std::atan2(at.y, at.x);
      const int from = directions.steps_down(angle - spread);
      const int to = directions.steps_up(angle + spread);
      for (int k = from; k <= std::min(to, from + directions.count - 1); ++k) {
        by_direction_[directions.index(k)].push_back(i);
      }
    }
  }

  // `from` to `to` lie in the directions k_from to k_to, whichever is smaller.
  Toll of(Vec2 from, Vec2 to, int k_from, int k_to) {
    ++now_;
    met_.clear();
    const Vec2 way = to - from;
    const double square = dot(way, way);
    for (int k = std::min(k_from, k_to); k <= std::max(k_from, k_to); ++k) {
      for (const std::size_t i : by_direction_[directions_.index(k)]) {
        if (seen_[i] == now_) continue;
        seen_[i] = now_;
        const Line& line = lines_.lines[i];
        const double near = lines_.half_width[static_cast<std::size_t>(line.stroke)] + clear_;
        const double beside = to_segment(mix(line.a, line.b, 0.5), from, to);
        const double long_mm = distance(line.a, line.b);
        if (beside > near + long_mm) continue;
        Meeting& meeting = met_by(line.stroke);
        if (beside <= near) {
          meeting.beside_mm += long_mm;
          meeting.touched = true;
        }
        const double side_a = cross(way, line.a - from), side_b = cross(way, line.b - from);
        if ((side_a >= 0.0) == (side_b >= 0.0)) continue;
        const double t = dot(mix(line.a, line.b, side_a / (side_a - side_b)) - from, way) / square;
        if (t >= 0.0 && t <= 1.0) ++meeting.crossings;
      }
    }
    Toll toll;
    for (const Meeting& meeting : met_) {
      const int crossings = std::max(meeting.crossings, meeting.touched ? 1 : 0);
      // A line crossed at less than 30 degrees is run along.
      const double across =
          2.0 * (lines_.half_width[static_cast<std::size_t>(meeting.stroke)] + clear_);
      if (meeting.beside_mm > crossings * 2.0 * across + kStepMm) {
        toll.along_mm += meeting.beside_mm;
      }
      toll.crossings += crossings;
    }
    return toll;
  }

 private:
  struct Meeting {
    int stroke;
    int crossings = 0;
    double beside_mm = 0.0;
    bool touched = false;
  };
  Meeting& met_by(int stroke) {
    for (Meeting& meeting : met_) {
      if (meeting.stroke == stroke) return meeting;
    }
    return met_.emplace_back(Meeting{stroke});
  }

  const Lines& lines_;
  double clear_;
  Directions directions_;
  std::vector<std::vector<std::size_t>> by_direction_;
  std::vector<int> seen_;
  int now_ = 0;
  std::vector<Meeting> met_;
};

struct Curvature {
  double root;  // of its size, 1/mm
  bool saddle;
  double inner_mm;       // a disc that lies flat
  double half_strip_mm;  // a strip that does

  // Widest angle between two cuts where the paper reaches that far.
  double widest(double reach_mm) const {
    const double x = reach_mm * root;
    const double round = saddle ? std::sinh(x) : std::sin(std::min(x, std::numbers::pi / 2.0));
    return 2.0 * half_strip_mm * root / round;
  }
};

// Directions in equal steps from a middle, what a cut in each costs, and which sets of cuts will
// do.
class Rose {
 public:
  Rose(const Lines& lines, const Rings& outline, Vec2 middle, const Curvature& k, double clear)
      : middle_(middle), curvature_(k) {
    double farthest = 0.0;
    for (const auto& ring : outline) {
      for (const Vec2 p : ring) farthest = std::max(farthest, distance(p, middle));
    }
    if (farthest <= k.inner_mm) return;
    // A multiple of the fewest petals, so that as many equal ones are among the choices.
    const double widest = k.widest(farthest);
    const int petals = std::max(3, static_cast<int>(std::ceil(kTwoPi / widest - 1e-9)));
    to_.count = petals * ((kLeastDirections + petals - 1) / petals);
    reach_ = reaches_of(outline, middle, to_);
    thinnest_ = std::max(1, to_.steps_down(kThinnest * widest));
    for (std::size_t level = 0; level < kLevels; ++level) {
      const double step = (farthest - k.inner_mm) / kLevels;
      const double from = k.inner_mm + step * static_cast<double>(level);
      levels_[level] = {from, to_.steps_down(k.widest(from + step))};
    }
    for (int i = 0; i < to_.count; ++i) petal_ends_.push_back(petal_end(i));
    TollGate gate(lines, middle, k.inner_mm, clear, to_);
    for (int i = 0; i < to_.count; ++i) {
      Cut best;
      if (reach_[static_cast<std::size_t>(i)] > k.inner_mm) {
        for (const double slant : kSlants) {
          const int turn = static_cast<int>(std::lround(slant * widest / to_.step()));
          Cut cut = straight(i, i + turn);
          cut.toll = gate.of(cut.from, cut.to, i, i + turn);
          cut.cost = cut.toll.cost() + std::abs(slant) + kCostOfMm * distance(cut.from, cut.to);
          if (cut.cost < best.cost) best = cut;
          if (best.toll.crossings == 0) break;  // straight out is best then
        }
      }
      cuts_.push_back(best);
    }
  }

  struct Choice {
    std::vector<int> at;
    double cost = 0.0;
  };

  // The cheapest set of cuts; an empty one when none is needed.
  Choice cheapest() const {
    const int start = start_of_least_petal();
    if (start < 0) return {};
    Choice best{{}, kNever};
    for (int first = start, last = farthest_from(start); first <= last; ++first) {
      if (cut_at(first).cost == kNever) continue;
      const Choice round = cheapest_from(first);
      if (round.cost < best.cost) best = round;
    }
    return best;
  }

  struct Cut {
    Vec2 from, to;
    Toll toll;
    double cost = kNever;
  };
  const Cut& cut_at(int i) const { return cuts_[to_.index(i)]; }
  double reach_at(int i) const { return reach_[to_.index(i)]; }
  int directions() const { return to_.count; }
  double widest(double reach_mm) const { return curvature_.widest(reach_mm); }

 private:
  Cut straight(int outer, int inner) const {
    Cut cut;
    cut.from = middle_ + to_.way(outer) * (reach_at(outer) + kBeyondMm);
    cut.to = middle_ + to_.way(inner) * curvature_.inner_mm;
    return cut;
  }

  // The last direction to which a petal may run from this one, at most once round. How wide it is
  // is asked at several distances, since paper that narrows outwards needs no cut for its tip.
  int petal_end(int from) const {
    std::array<int, kLevels> since;
    since.fill(from);
    for (int i = from; i < from + to_.count; ++i) {
      const double reach = std::max(reach_at(i), reach_at(i + 1));
      for (std::size_t level = 0; level < kLevels; ++level) {
        if (reach <= levels_[level].from_mm) {
          since[level] = i + 1;
        } else if (i + 1 - since[level] > levels_[level].widest_steps) {
          return i;
        }
      }
    }
    return from + to_.count;
  }

  // The same for any direction, counted on beyond a full turn.
  int farthest_from(int from) const {
    return petal_ends_[to_.index(from)] + from / to_.count * to_.count;
  }

  // Where the room for a petal is least, since one of the cuts must stand there; below 0 when paper
  // lies flat without any.
  int start_of_least_petal() const {
    int start = -1, least = to_.count;
    for (int i = 0; i < static_cast<int>(petal_ends_.size()); ++i) {
      const int room = farthest_from(i) - i;
      if (room < least) least = room, start = i;
    }
    return start;
  }

  Choice cheapest_from(int first) const {
    const auto size = static_cast<std::size_t>(to_.count) + 1;
    std::vector<double> cost(size, kNever);
    std::vector<int> before(size, -1);
    cost[0] = cut_at(first).cost;
    for (int i = 0; i < to_.count; ++i) {
      if (cost[static_cast<std::size_t>(i)] == kNever) continue;
      const int last = std::min(farthest_from(first + i) - first, to_.count);
      for (int j = i + thinnest_; j <= last; ++j) {
        const double more = j == to_.count ? 0.0 : cut_at(first + j).cost;
        const double sum = cost[static_cast<std::size_t>(i)] + more;
        if (sum < cost[static_cast<std::size_t>(j)]) {
          cost[static_cast<std::size_t>(j)] = sum;
          before[static_cast<std::size_t>(j)] = i;
        }
      }
    }
    Choice out{{}, cost.back()};
    if (out.cost == kNever) return out;
    for (int i = before.back(); i >= 0; i = before[static_cast<std::size_t>(i)]) {
      out.at.push_back(first + i);
    }
    std::reverse(out.at.begin(), out.at.end());
    return out;
  }

  Vec2 middle_;
  Directions to_;
  Curvature curvature_;
  std::vector<double> reach_;
  struct Level {
    double from_mm;
    int widest_steps;
  };
  std::array<Level, kLevels> levels_{};
  std::vector<int> petal_ends_;
  std::vector<Cut> cuts_;
  int thinnest_ = 1;
};

Darts darts_of(const Rose& rose, const Rose::Choice& choice, double curvature) {
  Darts out;
  const std::size_t n = choice.at.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Rose::Cut& cut = rose.cut_at(choice.at[i]);
    out.cuts.push_back(Path::polyline({cut.from, cut.to}));
    out.crossings += cut.toll.crossings;
    out.along_mm += cut.toll.along_mm;
    // Half of the petal on either side is drawn together here, as far as there is paper.
    const int before = i > 0 ? choice.at[i - 1] : choice.at[n - 1] - rose.directions();
    const int after = i + 1 < n ? choice.at[i + 1] : choice.at[0] + rose.directions();
    const double reach = rose.reach_at(choice.at[i]);
    const double share =
        std::min((after - before) / 2.0 / rose.directions(), rose.widest(reach) / kTwoPi);
    const double width = dart_width_mm(curvature, reach) * share;
    if (std::abs(width) > std::abs(out.widest_mm)) out.widest_mm = width;
  }
  return out;
}

}  // namespace

void DartOptions::validate() const {
  require_between(strain_limit_percent, 0.05, 20.0, "strain_limit_percent", "%");
  require_between(clear_mm, 0.0, 5.0, "clear_mm", "mm");
}

Darts dart_lines(const Linework& copy,
                 const Rings& outline,
                 double curvature_per_mm2,
                 const DartOptions& options) {
  options.validate();
  const auto inner = flat_disc_radius_mm(curvature_per_mm2, options.strain_limit_percent);
  if (!inner) return {};
  const Curvature curvature{
      std::sqrt(std::abs(curvature_per_mm2)),
      curvature_per_mm2 < 0.0,
      *inner,
      *flat_strip_half_width_mm(curvature_per_mm2, options.strain_limit_percent)};
  const Rings edge = outline.empty() ? silhouette(copy) : outline;
  const Lines lines = lines_of(copy);
  Darts best;
  double least = kNever;
  // The disc that stays whole may lie a little off the middle where that spares lines.
  for (const double off : {0.0, 0.3}) {
    for (int k = 0; k < (off > 0.0 ? 8 : 1); ++k) {
      const Vec2 middle = Directions{8}.way(k) * (off * *inner);
      const Rose rose(lines, edge, middle, curvature, options.clear_mm);
      const Rose::Choice choice = rose.cheapest();
      if (choice.cost >= least) continue;
      least = choice.cost;
      best = darts_of(rose, choice, curvature_per_mm2);
      best.middle = middle;
      best.inner_radius_mm = *inner;
      if (least < kCostOfCrossing) return best;  // nothing is crossed: the middle is good enough
    }
  }
  return best;
}

}  // namespace underdraw
