#include "accuracy/count_breaks.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace underdraw::test {
namespace {

constexpr double kLeastSpur = 0.25;
constexpr double kMostSpur = 3.0;
constexpr double kOffShare = 0.7;  // of a line that follows no drawn line
constexpr double kDoubledShare = 0.6;
constexpr double kOwnReturn = 1.0;  // of own line before its end can be attached to it
constexpr double kAttached = 0.1;   // an end this near to another line is not loose
constexpr double kAtCorner = 0.3;
constexpr double kAtFork = 0.35;
constexpr double kForkHole = 0.4;  // a line that leaves another may turn away from it at first
constexpr double kLeastHole = 0.1;
constexpr double kAlongside = 0.766;  // cosine of 40 degrees

class Counter {
 public:
  Counter(const PageSide& drawn, const PageSide& traced, const LineCover& cover)
      : drawn_(drawn), traced_(traced), cover_(cover) {}

  BreakScore count() {
    count_spurs();
    count_gaps();
    return std::move(score_);
  }

 private:
  void add(FaultKind kind, Vec2 at, double weight) {
    score_.faults.push_back(fault(kind, at, weight));
  }

  void count_spurs() {
    for (std::size_t k = 0; k < traced_.lines.size(); ++k) {
      const SampledLine& line = traced_.lines[k];
      const std::vector<bool>& on = cover_.on_drawn(k);
      const std::array<bool, 2> loose = {ends_loose(k, 0.0), ends_loose(k, line.length)};
      if (line.length >= kLeastSpur && line.length <= kMostSpur) {
        const bool attached = !loose[0] && !loose[1];
        if (cover_.doubled_share(k) >= kDoubledShare ||
            (attached ? far_share(line) : follows_none_share(on)) >= kOffShare) {
          spur(line.at(line.length / 2.0), line.length);
          continue;
        }
      }
      if (follows_none_share(on) >= 1.0) continue;
      for (const int end : {0, 1}) {
        // An end that meets another line may stray a little on the way to it.
        if (!traced_.meetings.loose[k][static_cast<std::size_t>(end)]) continue;
        const auto n = static_cast<std::ptrdiff_t>(on.size());
        std::ptrdiff_t i = end == 0 ? 0 : n - 1;
        const std::ptrdiff_t inward = end == 0 ? 1 : -1;
        double length = 0.0;
        while (!on[static_cast<std::size_t>(i)]) {
          i += inward;
          length += line.step;
        }
        if (length < kLeastSpur || length > kMostSpur) continue;
        if (runs_past_an_end(line.points[static_cast<std::size_t>(i)], length)) continue;
        spur(line.points[end == 0 ? 0 : on.size() - 1], length);
      }
    }
  }

  bool ends_loose(std::size_t traced, double s) const {
    const SampledLine& line = traced_.lines[traced];
    if (line.closed) return false;
    for (const LinePlace& place : traced_.line_grid.all_near(line.at(s), kAttached)) {
      const bool own = place.line == static_cast<int>(traced) && std::abs(place.s - s) < kOwnReturn;
      if (!own) return false;
    }
    return true;
  }

  void spur(Vec2 at, double length) {
    ++score_.spurs;
    add(FaultKind::kSpur, at, 0.5 + length);
  }

  static double follows_none_share(const std::vector<bool>& on) {
    return static_cast<double>(std::count(on.begin(), on.end(), false)) /
           static_cast<double>(on.size());
  }

  double far_share(const SampledLine& line) const {
    const auto far = std::count_if(line.points.begin(), line.points.end(), [&](Vec2 p) {
      return !drawn_.line_grid.nearest(p, kMatched);
    });
    return static_cast<double>(far) / static_cast<double>(line.points.size());
  }

  bool runs_past_an_end(Vec2 last_on, double length) const {
    const auto place = drawn_.line_grid.nearest(last_on, kLineGridCell);
    if (!place) return false;
    const SampledLine& line = drawn_.lines[static_cast<std::size_t>(place->line)];
    const double to_end = std::min(place->s, line.length - place->s);
    return !line.closed && to_end < kLeastSpur && length <= line.width_at(place->s);
  }

  void count_gaps() {
    struct Zone {
      double s, reach;
    };
    std::vector<std::vector<Zone>> zones(drawn_.lines.size());
    for (const Meeting& m : drawn_.meetings.meetings) {
      for (const LinePass& pass : m.passes) {
        zones[static_cast<std::size_t>(pass.line)].push_back(
            {pass.s, std::max(in_place_mm(m), m.blot) + 0.15});
      }
    }
    for (std::size_t l = 0; l < drawn_.lines.size(); ++l) {
      const SampledLine& line = drawn_.lines[l];
      const std::vector<double> corners = corners_of(line);
      for (const Break& b : breaks_in(line, cover_.stretches(l))) {
        const double middle = (b.from + b.to) / 2.0;
        const double hole = b.to - b.from;
        const auto away = [&](double s) {
          double d = middle - s;
          if (line.closed) d -= line.length * std::round(d / line.length);
          return std::abs(d);
        };
        const bool at_junction = std::any_of(zones[l].begin(), zones[l].end(), [&](const Zone& z) {
          return away(z.s) <= z.reach + hole / 2.0 && hole <= 2.0 * z.reach;
        });
        const bool at_corner =
            hole <= 0.0 && std::any_of(corners.begin(), corners.end(), [&](double c) {
              return away(c) <= kAtCorner;
            });
        // Where the next traced line leaves a third one, nothing is missing: it is a false
        // junction.
        bool at_fork = false;
        if (hole <= kForkHole) {
          traced_.meeting_points.near(
              line.at(middle), kAtFork, [&](std::size_t, double) { at_fork = true; });
        }
        if (at_junction || at_corner || at_fork) continue;
        if (hole > 0.0 && bare_length(line, b) <= kLeastHole) continue;
        ++score_.gaps;
        add(FaultKind::kGap, line.at(middle), 1.0 + hole);
      }
    }
  }

  // How much of a stretch of drawn line has no traced line alongside, whichever it follows.
  double bare_length(const SampledLine& line, const Break& hole) const {
    double bare = 0.0;
    for (double s = hole.from; s < hole.to; s += line.step) {
      const Vec2 p = line.at(s);
      const Vec2 along = line.along(s);
      const std::vector<LinePlace> near = traced_.line_grid.all_near(p, kMatched);
      // Beyond an end of a traced line the way to it leads along, not across.
      const bool alongside = std::any_of(near.begin(), near.end(), [&](const LinePlace& place) {
        return std::abs(dot(place.along, along)) > kAlongside &&
               std::abs(dot(p - place.at, place.along)) < 0.01;
      });
      if (!alongside) bare += line.step;
    }
    return bare;
  }

  const PageSide& drawn_;
  const PageSide& traced_;
  const LineCover& cover_;
  BreakScore score_;
};

}  // namespace

BreakScore count_breaks(const PageSide& drawn, const PageSide& traced, const LineCover& cover) {
  return Counter(drawn, traced, cover).count();
}

}  // namespace underdraw::test
