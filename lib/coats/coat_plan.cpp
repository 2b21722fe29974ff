#include "coats/coat_plan.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace underdraw {
namespace {

constexpr double kSpread = 0.3;
constexpr double kCm2PerM2 = 1e4;
constexpr double kPerPartMin = 0.2;  // to load the brush and find the edge (own guess)
constexpr double kSideDeg = 360.0 / kSides;

int side_of(double across_deg) {
  return static_cast<int>(std::floor(wrapped_deg(across_deg + kSideDeg / 2.0) / kSideDeg)) % kSides;
}

int coats_of(const PaintMap& map, std::optional<std::size_t> colour) {
  return colour ? map.colours[*colour].coats : usual_coats(ColourKind::opaque);
}

double drying_of(const PaintMap& map, std::optional<std::size_t> colour) {
  return colour ? map.colours[*colour].drying_min : kUsualDryingMin;
}

const Surface& surface_named(const std::vector<PlacedFace>& faces, const std::string& name) {
  return std::find_if(faces.begin(),
                      faces.end(),
                      [&](const PlacedFace& face) { return face.face.name == name; })
      ->surface;
}

// A colour that is not chosen comes after all others.
std::size_t rank(const std::optional<std::size_t>& colour) { return colour.value_or(SIZE_MAX); }

class Turns {
 public:
  Turns(const PaintMap& map, const std::vector<PlacedFace>& faces) : map_(map) {
    for (const PaintedFace& face : map.faces) {
      const Surface& surface = surface_named(faces, face.name);
      for (const PaintPart& part : parts_of(face)) add(face.name, part, surface.round());
    }
  }

  std::vector<CoatTurn> all() && {
    std::vector<CoatTurn> out;
    for (auto& [key, turn] : turns_) {
      std::stable_sort(turn.stops.begin(), turn.stops.end(), [&](const auto& a, const auto& b) {
        return std::pair(face_rank(a.face), a.side) < std::pair(face_rank(b.face), b.side);
      });
      out.push_back(std::move(turn));
    }
    return out;
  }

 private:
  // Grounds, then what lies behind, then what is in front; within that by colour.
  using Key = std::pair<int, std::size_t>;

  void add(const std::string& face, const PaintPart& part, bool round) {
    if (part.size_cm2 <= 0.0) return;
    const bool ground = part.placement == 0;
    CoatTurn& turn = turns_[{ground ? 0 : part.behind ? 1 : 2, rank(part.colour)}];
    turn.colour = part.colour;
    turn.ground = ground;
    turn.behind = part.behind;
    turn.coats = coats_of(map_, part.colour);
    turn.drying_min = drying_of(map_, part.colour);
    turn.size_cm2 += part.size_cm2;
    if (ground && round) {
      for (int side = 0; side < kSides; ++side) {
        stop(turn, face, side).size_cm2 += part.size_cm2 / kSides;
      }
      return;
    }
    CoatStop& here =
        stop(turn, face, round ? std::optional<int>(side_of(part.at.across)) : std::nullopt);
    here.size_cm2 += part.size_cm2;
    if (!ground) here.parts.push_back(part.name);
  }

  static CoatStop& stop(CoatTurn& turn, const std::string& face, std::optional<int> side) {
    for (CoatStop& known : turn.stops) {
      if (known.face == face && known.side == side) return known;
    }
    turn.stops.push_back({face, side, {}, 0.0});
    return turn.stops.back();
  }

  std::size_t face_rank(const std::string& name) const {
    std::size_t i = 0;
    while (i < map_.faces.size() && map_.faces[i].name != name) ++i;
    return i;
  }

  const PaintMap& map_;
  std::map<Key, CoatTurn> turns_;
};

// The clock, and when each side of each face is dry again.
class Clock {
 public:
  Clock(const PaintMap& map, const std::vector<CoatTurn>& turns) : map_(map), turns_(turns) {}

  CoatStep lay(std::size_t index, int coat) {
    const CoatTurn& turn = turns_[index];
    CoatStep step{index, coat, now_, 0.0, 0.0};
    for (const CoatStop& stop : turn.stops) {
      double free = dry_[{stop.face, stop.side.value_or(0)}];
      if (stop.side && map_.options.hold == Hold::opposite) {
        free = std::max(free, dry_[{stop.face, (*stop.side + kSides / 2) % kSides}]);
      }
      step.waiting_min += std::max(0.0, free - now_);
      now_ = std::max(now_, free);
      const double painting =
          stop.size_cm2 / map_.options.pace_cm2_per_min +
          kPerPartMin * static_cast<double>(std::max<std::size_t>(stop.parts.size(), 1));
      step.painting_min += painting;
      now_ += painting;
      double& dry = dry_[{stop.face, stop.side.value_or(0)}];
      dry = std::max(dry, now_ + turn.drying_min);
    }
    return step;
  }

  double now() const { return now_; }

 private:
  using Side = std::pair<std::string, int>;

  const PaintMap& map_;
  const std::vector<CoatTurn>& turns_;
  double now_ = 0.0;
  std::map<Side, double> dry_;
};

}  // namespace

Coverage stated_coverage(const Colour& colour) {
  const double ml = colour.ml_per_m2.value_or(kUsualMlPerM2);
  return {ml, (1.0 - kSpread) * ml, (1.0 + kSpread) * ml, false};
}

CoatPlan coat_plan(const PaintMap& map,
                   const std::vector<PlacedFace>& faces,
                   const std::vector<Coverage>& coverages) {
  CoatPlan plan;
  plan.turns = Turns(map, faces).all();

  Clock clock(map, plan.turns);
  const auto times = [&](const CoatTurn& turn) { return std::max(turn.coats, 1); };
  int most = 0;
  for (const CoatTurn& turn : plan.turns) most = std::max(most, times(turn));
  if (map.options.order == PaintOrder::ground_first) {
    for (std::size_t i = 0; i < plan.turns.size(); ++i) {
      for (int coat = 1; coat <= times(plan.turns[i]); ++coat) {
        plan.steps.push_back(clock.lay(i, coat));
      }
    }
  } else {
    for (int coat = 1; coat <= most; ++coat) {
      for (std::size_t i = 0; i < plan.turns.size(); ++i) {
        if (coat <= times(plan.turns[i])) plan.steps.push_back(clock.lay(i, coat));
      }
    }
  }
  for (const CoatStep& step : plan.steps) plan.painting_min += step.painting_min;
  plan.total_min = clock.now();

  std::map<std::size_t, ColourAmount> amounts;
  for (const CoatTurn& turn : plan.turns) {
    ColourAmount& amount = amounts[rank(turn.colour)];
    amount.colour = turn.colour;
    amount.coats = turn.coats;
    amount.size_cm2 += turn.size_cm2;
    for (const CoatStop& stop : turn.stops) amount.parts += stop.parts.size();
    if (!turn.ground) continue;
    std::vector<std::string> grounds;
    for (const CoatStop& stop : turn.stops) {
      if (std::find(grounds.begin(), grounds.end(), stop.face) == grounds.end()) {
        grounds.push_back(stop.face);
      }
    }
    amount.parts += grounds.size();
  }
  for (auto& [key, amount] : amounts) {
    amount.coverage = !amount.colour      ? Coverage{}
                      : coverages.empty() ? stated_coverage(map.colours[*amount.colour])
                                          : coverages.at(*amount.colour);
    const double m2 = amount.size_cm2 / kCm2PerM2 * std::max(amount.coats, 1);
    amount.ml = m2 * amount.coverage.ml_per_m2;
    amount.low_ml = m2 * amount.coverage.low;
    amount.high_ml = m2 * amount.coverage.high;
    plan.amounts.push_back(amount);
  }
  return plan;
}

}  // namespace underdraw
