#include "accuracy/judge_junctions.h"

#include <algorithm>
#include <map>
#include <utility>

namespace underdraw::test {
namespace {

constexpr double kThrough = 1.0;      // mm of both arms that a line through a crossing follows
constexpr double kTrimmed = 0.35;     // less where the stroke ends so soon
constexpr double kSplitSlack = 0.25;  // beyond the blot, mm
constexpr double kBridge = 2.5;       // times the reach of the blot

class Judge {
 public:
  Judge(const PageSide& drawn, const PageSide& traced, const LineCover& cover)
      : drawn_(drawn), traced_(traced), cover_(cover) {}

  JunctionScore judge() {
    match_junctions();
    judge_crossings();
    return std::move(score_);
  }

 private:
  void add(FaultKind kind, Vec2 at, double weight) {
    score_.faults.push_back(fault(kind, at, weight));
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
      traced_.meeting_points.near(
          drawn[d].at, in_place_mm(drawn[d]), [&](std::size_t t, double off) {
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
        ++score_.found;
      } else {
        add(FaultKind::kJunction, drawn[d].at, 1.0);
      }
    }
    for (const Meeting& t : traced) {
      if (!drawn_.meeting_points.any_near(t.at, in_place_mm(t) + t.blot)) ++score_.false_ones;
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
        ++score_.uncut;
      } else {
        add(FaultKind::kCut, drawn[d].at, 0.5);
      }
      if (!found_[d] && is_split(drawn[d], bridges)) {
        ++score_.split;
        add(FaultKind::kSplit, drawn[d].at, 1.0);
      }
    }
  }

  bool is_split(const Meeting& crossing,
                const std::vector<std::vector<std::pair<int, double>>>& bridges) const {
    const double reach = std::max(in_place_mm(crossing), crossing.blot) + kSplitSlack;
    std::vector<std::size_t> threes;
    traced_.meeting_points.near(crossing.at, reach, [&](std::size_t t, double) {
      if (!taken_[t] && traced_.meetings.meetings[t].arms.size() == 3) threes.push_back(t);
    });
    for (const std::size_t t : threes) {
      for (const auto& [other, length] : bridges[t]) {
        if (length <= kBridge * reach &&
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
          from = std::max(from, std::min(kTrimmed, its[i] / 2.0));
          to = std::min(to, line.length - std::min(kTrimmed, (line.length - its[last]) / 2.0));
        }
        if (!cover_.uncut(static_cast<std::size_t>(l), from, to)) return false;
        i = last + 1;
      }
    }
    return true;
  }

  const PageSide& drawn_;
  const PageSide& traced_;
  const LineCover& cover_;
  JunctionScore score_;
  std::vector<bool> found_;  // drawn
  std::vector<bool> taken_;  // traced
};

}  // namespace

JunctionScore judge_junctions(const PageSide& drawn,
                              const PageSide& traced,
                              const LineCover& cover) {
  return Judge(drawn, traced, cover).judge();
}

}  // namespace underdraw::test
