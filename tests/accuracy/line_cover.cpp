#include "accuracy/line_cover.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace underdraw::test {
namespace {

constexpr double kReach = 0.25;
constexpr double kOn = 0.15;
constexpr double kNearerBy = 0.06;
constexpr double kAlignedDeg = 40.0;
constexpr double kStray = 0.8;
constexpr double kLeftOut = 1.5;   // of the drawn line, by a traced one that cuts a corner
constexpr double kTouching = 0.1;  // a hole no longer than this is two ends that touch

constexpr double kLeastStretch = 0.12;  // less is a line that passes by
constexpr double kMostDoubled = 3.0;    // a longer traced line is not asked whether it doubles one

struct OpenStretch {
  double last = 0.0;  // s on the drawn line, not wrapped
  double low = 0.0;
  double high = 0.0;
  double traced_s = 0.0;
};

double step_to(const SampledLine& drawn, double from, double to) {
  double step = to - from;
  if (drawn.closed) step -= drawn.length * std::round(step / drawn.length);
  return step;
}

Stretch closed_off(const SampledLine& drawn, int traced, const OpenStretch& open) {
  if (!drawn.closed) return {traced, open.low, open.high};
  if (open.high - open.low >= drawn.length - kSampleStep) {
    return {traced, 0.0, 2.0 * drawn.length};  // all round, wherever it is looked at
  }
  const double turns = std::floor(open.low / drawn.length) * drawn.length;
  return {traced, open.low - turns, open.high - turns};
}

}  // namespace

LineCover::LineCover(const std::vector<SampledLine>& drawn,
                     const LineGrid& drawn_grid,
                     const std::vector<SampledLine>& traced)
    : drawn_(drawn), grid_(drawn_grid), traced_(traced), stretches_(drawn.size()) {
  for (std::size_t k = 0; k < traced.size(); ++k) follow(k);
  for (std::vector<Stretch>& of_line : stretches_) {
    std::sort(of_line.begin(), of_line.end(), [](const Stretch& a, const Stretch& b) {
      return a.from < b.from;
    });
  }
  find_doubled();
}

void LineCover::follow(std::size_t traced_index) {
  const SampledLine& line = traced_[traced_index];
  const std::size_t n = line.points.size();
  std::vector<bool> on(n, false);
  std::map<int, std::vector<OpenStretch>> open;  // by drawn line
  // A closed line is gone round twice, so that a stretch over its seam is found whole.
  const std::size_t rounds = line.closed ? 2 : 1;
  for (std::size_t k = 0; k < rounds * (n - 1) + 1; ++k) {
    const std::size_t i = k < n ? k : k - (n - 1);
    const double traced_s = static_cast<double>(k) * line.step;
    const Vec2 along = line.along(static_cast<double>(i) * line.step);
    std::vector<LinePlace> places = grid_.all_near(line.points[i], kReach);
    std::erase_if(places, [&](const LinePlace& p) {
      return std::abs(dot(p.along, along)) < std::cos(radians(kAlignedDeg));
    });
    double nearest = kReach;
    for (const LinePlace& p : places) nearest = std::min(nearest, p.off);
    on[i] = !places.empty() && nearest <= kOn;
    for (const LinePlace& p : places) {
      if (p.off > nearest + kNearerBy) continue;
      const SampledLine& drawn = drawn_[static_cast<std::size_t>(p.line)];
      std::vector<OpenStretch>& candidates = open[p.line];
      OpenStretch* goes_on = nullptr;
      double smallest = kLeftOut;
      for (OpenStretch& o : candidates) {
        const double way = traced_s - o.traced_s;
        const double step = std::abs(step_to(drawn, o.last, p.s));
        if (way <= kStray && step < smallest) {
          smallest = step;
          goes_on = &o;
        }
      }
      if (goes_on == nullptr) {
        candidates.push_back({p.s, p.s, p.s, traced_s});
        continue;
      }
      goes_on->last += step_to(drawn, goes_on->last, p.s);
      goes_on->low = std::min(goes_on->low, goes_on->last);
      goes_on->high = std::max(goes_on->high, goes_on->last);
      goes_on->traced_s = traced_s;
    }
  }
  for (const auto& [drawn, list] : open) {
    for (const OpenStretch& o : list) {
      const Stretch s =
          closed_off(drawn_[static_cast<std::size_t>(drawn)], static_cast<int>(traced_index), o);
      if (s.length() >= kLeastStretch) stretches_[static_cast<std::size_t>(drawn)].push_back(s);
    }
  }
  on_drawn_.push_back(std::move(on));
}

void LineCover::find_doubled() {
  std::vector<double> doubled(traced_.size(), 0.0);
  for (const std::vector<Stretch>& of_line : stretches_) {
    for (const Stretch& mine : of_line) {
      const double own = traced_[static_cast<std::size_t>(mine.traced)].length;
      if (own > kMostDoubled) continue;
      double reached = mine.from;
      for (const Stretch& other : of_line) {
        const double its = traced_[static_cast<std::size_t>(other.traced)].length;
        const bool rules = its > own || (its == own && other.traced < mine.traced);
        if (other.traced == mine.traced || !rules) continue;
        const double from = std::max(reached, other.from);
        const double to = std::min(mine.to, other.to);
        if (to <= from) continue;
        doubled[static_cast<std::size_t>(mine.traced)] += to - from;
        reached = to;
      }
    }
  }
  for (std::size_t k = 0; k < traced_.size(); ++k) {
    doubled_share_.push_back(doubled[k] / traced_[k].length);
  }
}

bool LineCover::uncut(std::size_t drawn, double from, double to) const {
  const double turn = drawn_[drawn].closed ? drawn_[drawn].length : 0.0;
  return std::any_of(stretches_[drawn].begin(), stretches_[drawn].end(), [&](const Stretch& s) {
    const auto holds = [&](double by) { return s.from <= from + by && to + by <= s.to; };
    return holds(0.0) || holds(turn) || holds(-turn);
  });
}

namespace {

// From `at`, where a traced line ends, to `stop`.
std::vector<Break> sweep(const std::vector<Stretch>& by_from, double at, double stop, bool closed) {
  std::vector<Break> out;
  while (at < stop - kTouching) {
    double furthest = at;
    double next = stop;
    for (const Stretch& s : by_from) {
      if (s.from <= at + kTouching) {
        furthest = std::max(furthest, s.to);
      } else {
        next = std::min(next, s.from);
      }
    }
    if (furthest > at + kTouching) {
      out.push_back({at, at});
      at = furthest;
    } else if (next < stop) {
      out.push_back({at, next});
      at = next + kTouching;
      for (const Stretch& s : by_from) {
        if (s.from <= next + kTouching) at = std::max(at, s.to);
      }
    } else {
      if (closed) out.push_back({at, stop});
      return out;
    }
  }
  if (closed) out.push_back({stop, stop});
  return out;
}

}  // namespace

std::vector<Break> breaks_in(const SampledLine& drawn, const std::vector<Stretch>& stretches) {
  if (stretches.empty()) return {};
  if (!drawn.closed) {
    double at = stretches.front().to;
    for (const Stretch& s : stretches) {
      if (s.from <= stretches.front().from + kTouching) at = std::max(at, s.to);
    }
    return sweep(stretches, at, drawn.length, false);
  }
  const Stretch longest =
      *std::max_element(stretches.begin(), stretches.end(), [](const Stretch& a, const Stretch& b) {
        return a.length() < b.length();
      });
  if (longest.length() >= drawn.length) return {};
  std::vector<Stretch> unwrapped;
  for (int turn = -1; turn <= 2; ++turn) {
    for (Stretch s : stretches) {
      s.from += turn * drawn.length;
      s.to += turn * drawn.length;
      unwrapped.push_back(s);
    }
  }
  return sweep(unwrapped, longest.to, longest.from + drawn.length, true);
}

}  // namespace underdraw::test
