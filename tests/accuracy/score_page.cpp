#include "accuracy/score_page.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "accuracy/fewest_cubics.h"
#include "accuracy/line_cover.h"
#include "accuracy/meetings.h"
#include "accuracy/point_grid.h"

namespace underdraw::test {
namespace {

constexpr double kMatched = 0.15;
constexpr double kAwayWidths = 1.5;
constexpr double kAwayMm = 0.3;
constexpr double kTangentClear = 0.5;
constexpr double kInPlace = 0.35;
constexpr double kFlatOff = 0.04;  // along a line that parts at a flat angle, this far off
constexpr double kFlatMost = 1.0;
constexpr double kThrough = 1.0;
constexpr double kLeastSpur = 0.25;
constexpr double kMostSpur = 3.0;
constexpr double kOffShare = 0.7;  // of a line that follows no drawn line
constexpr double kDoubledShare = 0.6;
constexpr double kAtCorner = 0.3;
constexpr double kLeastHole = 0.1;
constexpr double kAlongside = 0.766;  // cosine of 40 degrees
constexpr double kForkHole = 0.4;     // a line that leaves another may turn away from it at first
constexpr double kDotInPlace = 0.2;
constexpr double kShownOff = 0.05;  // a line this far off is shown
constexpr double kShownRun = 0.2;   // so is a stretch this long that is missed or false
constexpr double kMostWeight = 5.0;
constexpr double kDrawnKiss = 0.06;   // lines drawn this close have met for certain
constexpr double kTracedKiss = 0.15;  // traced ones may then lie this far apart
constexpr double kOwnReturn = 1.0;    // of own line before its end can be attached to it
constexpr double kAttached = 0.1;     // an end this near to another line is not loose
constexpr double kCell = 3.0;         // of point grids; more than any reach asked for

// Lines, and with them the outlines of areas.
struct Side {
  Side(const Linework& from, double kiss_mm)
      : lines(sampled_lines(from)), line_grid(lines), all(lines) {
    Linework rings;
    for (const Area& area : from.areas) {
      for (const Path& ring : area.rings) rings.strokes.push_back({ring, 0.5});
    }
    for (SampledLine& ring : sampled_lines(rings)) all.push_back(std::move(ring));
    all_grid.emplace(all);
    meetings = find_meetings(lines, line_grid, kiss_mm);
    for (const Meeting& m : meetings.meetings) meeting_points.add(m.at);
    for (const Stroke& stroke : from.strokes) {
      if (is_dot(stroke) && !stroke.path.points.empty()) dots.push_back(stroke.path.points.front());
    }
  }

  Side(const Side&) = delete;  // its grids refer to its lines
  Side& operator=(const Side&) = delete;

  std::vector<SampledLine> lines;
  LineGrid line_grid;
  std::vector<SampledLine> all;
  std::optional<LineGrid> all_grid;
  Meetings meetings;
  PointGrid meeting_points{kCell};
  std::vector<Vec2> dots;
};

class Scorer {
 public:
  Scorer(const Linework& traced, const Linework& drawn)
      : drawn_(drawn, kDrawnKiss),
        traced_(traced, kTracedKiss),
        cover_(drawn_.lines, drawn_.line_grid, traced_.lines) {}

  PageScore score() {
    count_lines();
    compare_drawn_samples();
    compare_traced_samples();
    match_junctions();
    judge_crossings();
    count_spurs();
    count_gaps();
    match_dots();
    return std::move(score_);
  }

 private:
  void fault(FaultKind kind, Vec2 at, double weight) {
    score_.faults.push_back({kind, at, std::min(weight, kMostWeight)});
  }

  void count_lines() {
    for (const SampledLine& line : drawn_.lines) score_.drawn_mm += line.length;
    for (const SampledLine& line : traced_.lines) {
      score_.traced_mm += line.length;
      score_.pieces += line.piece_count;
    }
    score_.lines_drawn = drawn_.lines.size();
    score_.lines_traced = traced_.lines.size();
  }

  bool near_meeting(Vec2 p, double reach) const {
    bool near = false;
    drawn_.meeting_points.near(p, reach, [&](std::size_t, double) { near = true; });
    return near;
  }

  // A stretch of samples that have one fault in common.
  class Run {
   public:
    Run(Scorer& scorer, FaultKind kind, double least_mm)
        : scorer_(scorer), kind_(kind), least_(least_mm) {}
    ~Run() { close(); }
    Run(const Run&) = delete;
    Run& operator=(const Run&) = delete;
    void add(Vec2 at, double step, double off) {
      length_ += step;
      if (off >= worst_) at_ = at;
      worst_ = std::max(worst_, off);
    }
    void close() {
      if (length_ >= least_) {
        const double share = kind_ == FaultKind::kOff ? worst_ / kMatched / 2.0 : 1.0;
        scorer_.fault(kind_, at_, length_ * share);
      }
      length_ = worst_ = 0.0;
    }

   private:
    Scorer& scorer_;
    FaultKind kind_;
    double least_;
    double length_ = 0.0;
    double worst_ = 0.0;
    Vec2 at_;
  };

  struct Mean {
    double sum = 0.0;
    double weight = 0.0;
    void add(double value, double w) {
      sum += value * w;
      weight += w;
    }
    double mean(double otherwise) const { return weight > 0.0 ? sum / weight : otherwise; }
  };

  void compare_drawn_samples() {
    Mean recall, all, away, tangent, width;
    for (std::size_t l = 0; l < drawn_.all.size(); ++l) {
      const SampledLine& line = drawn_.all[l];
      const bool is_line = l < drawn_.lines.size();
      const std::vector<double> corners = corners_of(line);
      Run missed(*this, FaultKind::kMissed, kShownRun);
      Run off(*this, FaultKind::kOff, line.step);
      for (std::size_t i = 0; i < line.points.size(); ++i) {
        const double s = static_cast<double>(i) * line.step;
        const Vec2 p = line.points[i];
        const auto found = traced_.all_grid->nearest(p, kMatched);
        recall.add(found ? 1.0 : 0.0, line.step);
        if (found) {
          missed.close();
        } else {
          missed.add(p, line.step, 0.0);
        }
        if (!found || found->off < kShownOff) {
          off.close();
        } else {
          off.add(p, line.step, found->off);
        }
        if (!found || !is_line) continue;
        all.add(found->off * found->off, line.step);
        const double to_end = line.closed ? 1e9 : std::min(s, line.length - s);
        const double pen = line.width_at(s);
        const double clear = kAwayWidths * pen + kAwayMm;
        if (to_end > clear && !near_meeting(p, clear)) {
          away.add(found->off * found->off, line.step);
          if (found->line < static_cast<int>(traced_.lines.size())) {
            const double its =
                traced_.lines[static_cast<std::size_t>(found->line)].width_at(found->s);
            width.add(std::abs(its - pen), line.step);
          }
        }
        const bool at_corner = std::any_of(corners.begin(), corners.end(), [&](double c) {
          return std::abs(c - s) < kTangentClear;
        });
        if (to_end > kTangentClear && !at_corner && !near_meeting(p, kTangentClear)) {
          const SampledLine& its_line = traced_.all[static_cast<std::size_t>(found->line)];
          double turn = degrees(angle_between(line.along(s), its_line.along(found->s)));
          turn = std::min(turn, 180.0 - turn);
          tangent.add(turn * turn, line.step);
        }
      }
    }
    score_.recall = recall.mean(1.0);
    score_.rms_all_mm = std::sqrt(all.mean(0.0));
    score_.rms_away_mm = std::sqrt(away.mean(0.0));
    score_.tangent_rms_deg = std::sqrt(tangent.mean(0.0));
    score_.width_error_mm = width.mean(0.0);
  }

  void compare_traced_samples() {
    Mean precision;
    for (const SampledLine& line : traced_.all) {
      Run wrong(*this, FaultKind::kFalseLine, kShownRun);
      for (const Vec2 p : line.points) {
        const bool found = drawn_.all_grid->nearest(p, kMatched).has_value();
        precision.add(found ? 1.0 : 0.0, line.step);
        if (found) {
          wrong.close();
        } else {
          wrong.add(p, line.step, 0.0);
        }
      }
    }
    score_.precision = precision.mean(1.0);
  }

  // Where lines part at a flat angle, how far apart they are tells little about where they met.
  static double tolerance(const Meeting& m) {
    const double flat = std::min(kFlatMost, kFlatOff / std::max(std::sin(m.least_angle), 1e-3));
    return std::max({kInPlace, m.width / 2.0, flat});
  }

  void match_junctions() {
    struct Pair {
      double off;
      std::size_t drawn, traced;
    };
    const std::vector<Meeting>& drawn = drawn_.meetings.meetings;
    const std::vector<Meeting>& traced = traced_.meetings.meetings;
    std::vector<Pair> pairs;
    for (std::size_t d = 0; d < drawn.size(); ++d) {
      traced_.meeting_points.near(drawn[d].at, tolerance(drawn[d]), [&](std::size_t t, double off) {
        if (traced[t].arms.size() == drawn[d].arms.size()) pairs.push_back({off, d, t});
      });
    }
    std::sort(
        pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.off < b.off; });
    found_.assign(drawn.size(), false);
    taken_.assign(traced.size(), false);
    for (const Pair& p : pairs) {
      if (found_[p.drawn] || taken_[p.traced]) continue;
      found_[p.drawn] = taken_[p.traced] = true;
    }
    score_.junctions = static_cast<int>(drawn.size());
    for (std::size_t d = 0; d < drawn.size(); ++d) {
      if (found_[d]) {
        ++score_.junctions_found;
      } else {
        fault(FaultKind::kJunction, drawn[d].at, 1.0);
      }
    }
    for (const Meeting& t : traced) {
      if (!near_meeting(t.at, tolerance(t) + t.blot)) ++score_.junctions_false;
    }
  }

  void judge_crossings() {
    const std::vector<Meeting>& drawn = drawn_.meetings.meetings;
    std::vector<std::vector<std::pair<int, double>>> bridges(traced_.meetings.meetings.size());
    for (const Bridge& b : traced_.meetings.bridges) {
      bridges[static_cast<std::size_t>(b.meeting_a)].push_back({b.meeting_b, b.length});
    }
    for (std::size_t d = 0; d < drawn.size(); ++d) {
      if (!drawn[d].crossing) continue;
      ++score_.crossings;
      if (runs_through(drawn[d])) {
        ++score_.crossings_uncut;
      } else {
        fault(FaultKind::kCut, drawn[d].at, 0.5);
      }
      if (!found_[d] && is_split(drawn[d], bridges)) {
        ++score_.crossings_split;
        fault(FaultKind::kSplit, drawn[d].at, 1.0);
      }
    }
  }

  bool is_split(const Meeting& crossing,
                const std::vector<std::vector<std::pair<int, double>>>& bridges) const {
    const double reach = std::max(kInPlace, crossing.blot) + 0.25;
    std::vector<std::size_t> threes;
    traced_.meeting_points.near(crossing.at, reach, [&](std::size_t t, double) {
      if (!taken_[t] && traced_.meetings.meetings[t].arms.size() == 3) threes.push_back(t);
    });
    for (const std::size_t t : threes) {
      for (const auto& [other, length] : bridges[t]) {
        if (length <= 2.5 * reach &&
            std::find(threes.begin(), threes.end(), static_cast<std::size_t>(other)) !=
                threes.end()) {
          return true;
        }
      }
    }
    return false;
  }

  // Both strokes of a crossing, each followed by one traced line.
  bool runs_through(const Meeting& crossing) const {
    std::map<int, std::vector<double>> places;
    for (const LinePass& pass : crossing.passes) places[pass.line].push_back(pass.s);
    for (auto& [l, its] : places) {
      const SampledLine& line = drawn_.lines[static_cast<std::size_t>(l)];
      std::sort(its.begin(), its.end());
      if (line.closed && its.back() - its.front() > line.length / 2.0 && places.size() == 2) {
        for (double& s : its) s -= s > line.length / 2.0 ? line.length : 0.0;
        std::sort(its.begin(), its.end());
      }
      // Two strokes: one stretch each. A stroke that cuts itself: a stretch for either time.
      for (std::size_t i = 0; i < its.size();) {
        std::size_t last = i;
        while (last + 1 < its.size() && (places.size() == 2 || its[last + 1] - its[last] < 0.2)) {
          ++last;
        }
        double from = its[i] - kThrough;
        double to = its[last] + kThrough;
        if (!line.closed) {
          from = std::max(from, std::min(kInPlace, its[i] / 2.0));
          to = std::min(to, line.length - std::min(kInPlace, (line.length - its[last]) / 2.0));
        }
        if (!cover_.uncut(static_cast<std::size_t>(l), from, to)) return false;
        i = last + 1;
      }
    }
    return true;
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
        if (!loose[static_cast<std::size_t>(end)]) continue;
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
    fault(FaultKind::kSpur, at, 0.5 + length);
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
            {pass.s, std::max(tolerance(m), m.blot) + 0.15});
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
              line.at(middle), kInPlace, [&](std::size_t, double) { at_fork = true; });
        }
        if (at_junction || at_corner || at_fork) continue;
        if (hole > 0.0 && bare_length(line, b) <= kLeastHole) continue;
        ++score_.gaps;
        fault(FaultKind::kGap, line.at(middle), 1.0 + hole);
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

  void match_dots() {
    PointGrid traced(kCell);
    for (const Vec2 p : traced_.dots) traced.add(p);
    std::vector<bool> taken(traced_.dots.size(), false);
    score_.dots = static_cast<int>(drawn_.dots.size());
    for (const Vec2 p : drawn_.dots) {
      double nearest = kDotInPlace;
      std::optional<std::size_t> best;
      traced.near(p, kDotInPlace, [&](std::size_t i, double off) {
        if (taken[i] || off > nearest) return;
        nearest = off;
        best = i;
      });
      if (best) {
        taken[*best] = true;
        ++score_.dots_found;
      } else {
        fault(FaultKind::kMissedDot, p, 1.0);
      }
    }
    for (std::size_t i = 0; i < taken.size(); ++i) {
      if (taken[i]) continue;
      ++score_.dots_false;
      fault(FaultKind::kFalseDot, traced_.dots[i], 0.7);
    }
  }

  Side drawn_;
  Side traced_;
  LineCover cover_;
  PageScore score_;
  std::vector<bool> found_;  // junctions
  std::vector<bool> taken_;  // traced meetings
};

std::optional<double> share(int part, int whole) {
  if (whole == 0) return {};
  return static_cast<double>(part) / whole;
}

}  // namespace

std::optional<double> PageScore::junction_share() const {
  return share(junctions_found, junctions);
}
std::optional<double> PageScore::split_share() const { return share(crossings_split, crossings); }
std::optional<double> PageScore::uncut_share() const { return share(crossings_uncut, crossings); }
std::optional<double> PageScore::dot_share() const { return share(dots_found, dots); }

double PageScore::piece_ratio() const {
  return fewest_pieces > 0 ? static_cast<double>(pieces) / static_cast<double>(fewest_pieces) : 0.0;
}

double PageScore::line_ratio() const {
  return lines_drawn > 0 ? static_cast<double>(lines_traced) / static_cast<double>(lines_drawn)
                         : 0.0;
}

PageScore score_page(const Linework& traced, const Linework& drawn) {
  PageScore score = Scorer(traced, drawn).score();
  for (const Stroke& stroke : drawn.strokes) score.fewest_pieces += fewest_cubics(stroke.path);
  return score;
}

}  // namespace underdraw::test
