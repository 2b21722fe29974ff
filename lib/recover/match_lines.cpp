#include "recover/match_lines.h"

#include <algorithm>
#include <cmath>

#include "core/error.h"
#include "geometry/rings.h"
#include "recover/bend.h"
#include "recover/line_field.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kShiftStepMm = 0.8;
constexpr double kTurnStepDeg = 2.5;
constexpr double kElsewhereMm = 4.0;   // this far from the best place the drawing is not
constexpr std::size_t kSearched = 90;  // points of the drawing
constexpr std::size_t kTried = 4;      // places that are fitted
constexpr double kHomeShare = 0.04;    // what a place at the edge of the search loses by that
constexpr double kClearly = 0.15;      // more of the drawing than anywhere else

struct Place {
  Vec2 shift;
  double turn_deg = 0.0;
  double scale = 1.0;
  double score = 0.0;

  Affine moved_from_drawn() const {
    return Affine::translate(shift) * Affine::turn_deg(turn_deg) * Affine::scale(scale);
  }
};

// Points of the drawing with their directions, dots left out.
struct DrawnPoint {
  Vec2 at;
  Vec2 along;
};
Vec2 along_at(const DrawnLine& line, std::size_t i) {
  return normalized(line[std::min(i + 1, line.size() - 1)] - line[i == 0 ? 0 : i - 1]);
}
std::vector<DrawnPoint> drawn_points(const std::vector<DrawnLine>& drawing) {
  std::vector<DrawnPoint> out;
  for (const DrawnLine& line : drawing) {
    for (std::size_t i = 0; line.size() > 1 && i < line.size(); ++i) {
      out.push_back({line[i], along_at(line, i)});
    }
  }
  return out;
}

Vec2 turned(const Affine& a, Vec2 along) {
  return {a.xx * along.x + a.xy * along.y, a.yx * along.x + a.yy * along.y};
}

std::vector<Place> search(const std::vector<DrawnPoint>& all,
                          const LineField& field,
                          const std::function<bool(Vec2)>& visible,
                          const MatchOptions& options) {
  std::vector<DrawnPoint> some;
  const std::size_t stride = std::max<std::size_t>(1, all.size() / kSearched);
  for (std::size_t i = stride / 2; i < all.size(); i += stride) some.push_back(all[i]);
  // What can be seen changes little over the reach of the search: asked once.
  std::erase_if(some, [&](const DrawnPoint& p) { return !visible(p.at); });
  std::vector<Place> out;
  if (some.size() < 8) return out;

  const int shifts = static_cast<int>(std::ceil(options.reach_mm / kShiftStepMm));
  const int turns = static_cast<int>(std::ceil(options.turn_deg / kTurnStepDeg));
  const int sizes = options.size_share > 0.0 ? 1 : 0;
  struct Sought {
    Vec2 at;
    int way;
  };
  std::vector<Sought> sought(some.size());
  for (int size = -sizes; size <= sizes; ++size) {
    for (int turn = -turns; turn <= turns; ++turn) {
      Place place;
      place.turn_deg = turns == 0 ? 0.0 : turn * options.turn_deg / turns;
      place.scale = 1.0 + size * options.size_share;
      const Affine moved = place.moved_from_drawn();
      std::transform(some.begin(), some.end(), sought.begin(), [&](const DrawnPoint& p) {
        return Sought{moved * p.at, LineField::way_of(turned(moved, p.along))};
      });
      for (int y = -shifts; y <= shifts; ++y) {
        for (int x = -shifts; x <= shifts; ++x) {
          place.shift = Vec2{1.0 * x, 1.0 * y} * (options.reach_mm / shifts);
          double sum = 0.0;
          for (const Sought& p : sought) sum += field.nearness(p.at + place.shift, p.way);
          const double far = length(place.shift) / options.reach_mm;
          place.score = sum / static_cast<double>(sought.size()) - kHomeShare * far * far;
          out.push_back(place);
        }
      }
    }
  }
  std::sort(
      out.begin(), out.end(), [](const Place& a, const Place& b) { return a.score > b.score; });
  return out;
}

// The best places no two of which are the same.
std::vector<Place> best_places(const std::vector<Place>& sorted) {
  std::vector<Place> out;
  for (const Place& place : sorted) {
    if (out.size() == kTried) break;
    const bool known = std::any_of(out.begin(), out.end(), [&](const Place& p) {
      return distance(p.shift, place.shift) < 2.5 && std::abs(p.turn_deg - place.turn_deg) < 5.0;
    });
    if (!known) out.push_back(place);
  }
  return out;
}

struct Fitted {
  Bend bend;
  double share = 0.0;
  double off_mm = 0.0;
};

struct Near {
  std::size_t seen = 0;
  std::vector<double> off;  // of those with a line
};
Near near_lines(const std::vector<DrawnPoint>& drawing,
                const Bend& bend,
                const LineField& field,
                const std::vector<LinePoint>& points,
                const std::function<bool(Vec2)>& visible,
                double near_mm) {
  Near out;
  for (const DrawnPoint& p : drawing) {
    const Vec2 at = bend.bent(p.at);
    if (!visible(at)) continue;
    ++out.seen;
    const std::optional<std::size_t> next = field.nearest(at, bend.bent_along(p.at, p.along), 1.5);
    if (!next) continue;
    const double off = std::abs(cross(points[*next].along, at - points[*next].at));
    if (off <= near_mm && distance(points[*next].at, at) <= near_mm + 0.3) out.off.push_back(off);
  }
  return out;
}

Fitted fit(const Place& start,
           const std::vector<DrawnPoint>& drawing,
           const Box& box,
           const LineField& field,
           const std::vector<LinePoint>& points,
           const std::function<bool(Vec2)>& visible,
           const MatchOptions& options) {
  Fitted out{Bend(start.moved_from_drawn(), box), 0.0, 0.0};
  // Wide and stiff at first.
  struct Round {
    double reach_mm, stiff;
  };
  constexpr Round kRounds[] = {{2.2, 300.0},
                               {1.8, 300.0},
                               {1.4, 100.0},
                               {1.1, 30.0},
                               {0.9, 8.0},
                               {0.8, 3.0},
                               {0.7, 3.0},
                               {0.7, 3.0}};
  for (const auto& [reach, stiff] : kRounds) {
    std::vector<BendPull> pulls;
    for (const DrawnPoint& p : drawing) {
      const Vec2 at = out.bend.bent(p.at);
      const std::optional<std::size_t> next =
          field.nearest(at, out.bend.bent_along(p.at, p.along), reach + 0.5);
      if (!next) continue;
      const Vec2 across = perpendicular(points[*next].along);
      const double off = dot(across, points[*next].at - at);
      const double far = off / reach;
      if (std::abs(far) >= 1.0) continue;
      const double weight = (1.0 - far * far) * (1.0 - far * far);
      pulls.push_back({p.at, across, off, weight});
    }
    if (pulls.size() < 12) break;
    out.bend.pull(pulls, stiff);
  }
  const Near near = near_lines(drawing, out.bend, field, points, visible, options.near_mm);
  out.share =
      near.seen == 0 ? 0.0 : static_cast<double>(near.off.size()) / static_cast<double>(near.seen);
  out.off_mm = median(near.off);
  return out;
}

// How much of the drawing comes onto lines at the best place where it is not.
template <typename Fit>
double share_elsewhere(const std::vector<Place>& sorted, Vec2 found, Fit fit_at) {
  double most = 0.0;
  std::size_t tried = 0;
  std::vector<Vec2> known;
  for (const Place& place : sorted) {
    if (tried == kTried) break;
    if (distance(place.shift, found) < 1.5 * kElsewhereMm) continue;
    if (std::any_of(known.begin(), known.end(), [&](Vec2 k) {
          return distance(k, place.shift) < kElsewhereMm;
        })) {
      continue;
    }
    known.push_back(place.shift);
    ++tried;
    const Fitted fitted = fit_at(place);
    // What slid back was no other place.
    if (distance(fitted.bend.moved_origin(), found) < kElsewhereMm) continue;
    most = std::max(most, fitted.share);
  }
  return most;
}

}  // namespace

void MatchOptions::validate() const {
  require_between(reach_mm, 1.0, 30.0, "reach of the search", "mm");
  require_between(turn_deg, 0.0, 45.0, "turn of the search", "°");
  require_between(size_share, 0.0, 0.2, "change of size in the search", "");
  require_between(near_mm, 0.1, 3.0, "distance of matched lines", "mm");
  require_between(least_share, 0.2, 1.0, "least share of a found drawing", "");
}

LineMatch match_lines(const std::vector<DrawnLine>& drawing,
                      const std::vector<LinePoint>& points,
                      const std::function<bool(Vec2)>& visible,
                      const MatchOptions& options) {
  options.validate();
  LineMatch out;
  const std::vector<DrawnPoint> all = drawn_points(drawing);
  Box box;
  for (const DrawnLine& line : drawing) {
    for (const Vec2 p : line) box.add(p);
  }
  if (all.size() < 8 || points.empty()) return out;
  const double lean = std::sin(radians(options.turn_deg)) + options.size_share;
  const double grown = options.reach_mm + lean * std::hypot(box.width(), box.height()) / 2.0 + 3.0;
  const LineField field(points, box.grown(grown));
  const std::vector<Place> places = search(all, field, visible, options);
  std::optional<Fitted> best;
  for (const Place& place : best_places(places)) {
    Fitted tried = fit(place, all, box, field, points, visible, options);
    if (best && tried.share <= best->share) continue;
    best = std::move(tried);
  }
  if (!best) return out;
  out.share = best->share;
  out.off_mm = best->off_mm;
  out.chance = share_elsewhere(places, best->bend.moved_origin(), [&](const Place& place) {
    return fit(place, all, box, field, points, visible, options);
  });
  const Affine whole = best->bend.nearest_placing();
  out.shift = {whole.tx, whole.ty};
  out.scale = whole.length_factor();
  out.turn_deg = degrees(std::atan2(whole.yx, whole.xx));
  out.found = out.share >= options.least_share && out.share >= out.chance + kClearly;
  for (const DrawnLine& line : drawing) {
    DrawnLine& bent = out.lines.emplace_back();
    std::vector<char>& shown = out.shown.emplace_back();
    for (std::size_t i = 0; i < line.size(); ++i) {
      bent.push_back(best->bend.bent(line[i]));
      if (line.size() == 1) {
        shown.push_back(0);
        continue;
      }
      const Vec2 along = best->bend.bent_along(line[i], along_at(line, i));
      const std::optional<std::size_t> next =
          field.nearest(bent.back(), along, options.near_mm + 0.3);
      shown.push_back(next && visible(bent.back()) &&
                      std::abs(cross(points[*next].along, bent.back() - points[*next].at)) <=
                          options.near_mm);
    }
  }
  return out;
}

}  // namespace underdraw
