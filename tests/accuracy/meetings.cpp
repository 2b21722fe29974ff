#include "accuracy/meetings.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

namespace underdraw::test {
namespace {

constexpr double kReachWidths = 0.6;
constexpr double kOneMeeting = 0.15;   // mm along a stroke
constexpr double kSecondTouch = 0.15;  // an end this near to a second line meets it too
constexpr double kMostShared = 3.0;    // two lines upon each other for longer are two meetings
constexpr double kLeastReturn = 1.0;   // of own line before its end can meet it
constexpr double kMostBlot = 2.0;

// A place on a line that may belong to a meeting.
struct Event {
  int line = -1;
  double s = 0.0;
  bool end = false;
  bool cut = false;
};

class Finder {
 public:
  Finder(const std::vector<SampledLine>& lines, const LineGrid& grid, double kiss_mm)
      : lines_(lines), grid_(grid), kiss_(kiss_mm) {
    inner_.resize(lines.size());
  }

  Meetings find() {
    add_ends();
    add_cuts();
    add_touches();
    join_shared_stretches();
    add_kisses();
    join_close_events();
    return collect();
  }

 private:
  const SampledLine& line(int l) const { return lines_[static_cast<std::size_t>(l)]; }
  Vec2 place(const Event& e) const { return line(e.line).at(e.s); }
  double reach(LinePass a, LinePass b) const {
    return kReachWidths * (line(a.line).width_at(a.s) + line(b.line).width_at(b.s)) / 2.0;
  }

  int add(Event event) {
    events_.push_back(event);
    parent_.push_back(static_cast<int>(parent_.size()));
    return parent_.back();
  }
  int group(int e) {
    while (parent_[static_cast<std::size_t>(e)] != e) {
      int& up = parent_[static_cast<std::size_t>(e)];
      up = parent_[static_cast<std::size_t>(up)];
      e = up;
    }
    return e;
  }
  void unite(int a, int b) { parent_[static_cast<std::size_t>(group(a))] = group(b); }
  // The stretch of line between two events lies inside their meeting.
  void swallow(int a, int b) {
    const Event& ea = events_[static_cast<std::size_t>(a)];
    const Event& eb = events_[static_cast<std::size_t>(b)];
    inner_[static_cast<std::size_t>(ea.line)].push_back(std::minmax(ea.s, eb.s));
  }

  void add_ends() {
    ends_.assign(lines_.size(), {-1, -1});
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      if (lines_[l].closed) continue;
      ends_[l][0] = add({static_cast<int>(l), 0.0, true, false});
      ends_[l][1] = add({static_cast<int>(l), lines_[l].length, true, false});
    }
  }

  void add_cuts() {
    for (const LineCut& cut : grid_.cuts()) {
      const int a = add({cut.line_a, cut.s_a, false, true});
      const int b = add({cut.line_b, cut.s_b, false, true});
      unite(a, b);
      if (cut.line_a == cut.line_b) continue;
      const auto pair = std::minmax(cut.line_a, cut.line_b);
      cuts_[pair].push_back(cut.line_a == pair.first ? std::pair{a, b} : std::pair{b, a});
    }
    for (auto& [pair, cuts] : cuts_) {
      std::sort(cuts.begin(), cuts.end(), [&](const auto& a, const auto& b) {
        return events_[static_cast<std::size_t>(a.first)].s <
               events_[static_cast<std::size_t>(b.first)].s;
      });
    }
  }

  void add_touches() {
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      for (std::size_t e = 0; e < 2; ++e) {
        if (ends_[l][e] >= 0) touch(ends_[l][e]);
      }
    }
  }

  void touch(int end) {
    const Event own = events_[static_cast<std::size_t>(end)];
    const Vec2 tip = place(own);
    std::vector<LinePlace> inside;
    for (const LinePlace& other : grid_.all_near(tip, kLineGridCell)) {
      const SampledLine& there = line(other.line);
      if (other.line == own.line && std::abs(other.s - own.s) < kLeastReturn) continue;
      const double most = reach({own.line, own.s}, {other.line, other.s});
      if (other.off > most) continue;
      const auto& ends = ends_[static_cast<std::size_t>(other.line)];
      int met = -1;
      for (std::size_t e = 0; e < 2 && !there.closed; ++e) {
        const Event& its = events_[static_cast<std::size_t>(ends[e])];
        if (ends[e] == end || std::abs(its.s - other.s) > most) continue;
        if (met < 0 || std::abs(its.s - other.s) <
                           std::abs(events_[static_cast<std::size_t>(met)].s - other.s)) {
          met = ends[e];
        }
      }
      if (met >= 0 && distance(place(events_[static_cast<std::size_t>(met)]), tip) <= most) {
        unite(end, met);
      } else {
        inside.push_back(other);
      }
    }
    std::sort(inside.begin(), inside.end(), [](const LinePlace& a, const LinePlace& b) {
      return a.off < b.off;
    });
    for (std::size_t i = 0; i < inside.size(); ++i) {
      if (i > 0 && inside[i].off > kSecondTouch) break;
      const int foot = add({inside[i].line, inside[i].s, false, false});
      unite(end, foot);
      if (inside[i].line != own.line) join_cuts_on_the_way(end, foot);
    }
  }

  // A line that cuts another shortly before it ends beside it meets it once.
  void join_cuts_on_the_way(int end, int foot) {
    const Event own = events_[static_cast<std::size_t>(end)];
    const Event other = events_[static_cast<std::size_t>(foot)];
    const auto found = cuts_.find(std::minmax(own.line, other.line));
    if (found == cuts_.end()) return;
    const bool own_first = own.line == found->first.first;
    const SampledLine& mine = line(own.line);
    const double inward = own.s > 0.0 ? -1.0 : 1.0;
    double shared = 0.0;
    while (shared < std::min(kMostShared, mine.length)) {
      const double s = own.s + inward * (shared + mine.step);
      if (!beside({own.line, s}, other.line)) break;
      shared += mine.step;
    }
    for (const auto& [a, b] : found->second) {
      const int here = own_first ? a : b;
      const int there = own_first ? b : a;
      if (std::abs(events_[static_cast<std::size_t>(here)].s - own.s) > shared + mine.step)
        continue;
      unite(here, end);
      swallow(here, end);
      swallow(there, foot);
    }
  }

  bool beside(LinePass at, int other) const {
    const auto near = grid_.nearest_on(other, line(at.line).at(at.s), kLineGridCell);
    return near && near->off <= reach(at, {near->line, near->s});
  }

  // Two lines that cut again and again without parting in between meet once.
  void join_shared_stretches() {
    for (const auto& [pair, cuts] : cuts_) {
      for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        const double from = events_[static_cast<std::size_t>(cuts[i].first)].s;
        const double to = events_[static_cast<std::size_t>(cuts[i + 1].first)].s;
        const double other = std::abs(events_[static_cast<std::size_t>(cuts[i].second)].s -
                                      events_[static_cast<std::size_t>(cuts[i + 1].second)].s);
        if (to - from > kMostShared || other > kMostShared) continue;
        bool together = true;
        for (double s = from; s < to && together; s += kSampleStep) {
          together = beside({pair.first, s}, pair.second);
        }
        if (!together) continue;
        unite(cuts[i].first, cuts[i + 1].first);
        swallow(cuts[i].first, cuts[i + 1].first);
        swallow(cuts[i].second, cuts[i + 1].second);
      }
    }
  }

  // Two lines that come together without cutting, and without an end of either there.
  void add_kisses() {
    struct Run {
      double from, to, nearest;
      double s, other_s;
    };
    std::map<std::pair<int, int>, std::vector<Run>> runs;
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      for (std::size_t i = 0; i < lines_[l].points.size(); ++i) {
        const double s = static_cast<double>(i) * lines_[l].step;
        for (const LinePlace& other : grid_.all_near(lines_[l].points[i], kiss_)) {
          if (other.line <= static_cast<int>(l)) continue;
          std::vector<Run>& of_pair = runs[{static_cast<int>(l), other.line}];
          if (of_pair.empty() || s - of_pair.back().to > kOneMeeting) {
            of_pair.push_back({s, s, kLineGridCell, s, other.s});
          }
          Run& run = of_pair.back();
          run.to = s;
          if (other.off >= run.nearest) continue;
          run.nearest = other.off;
          run.s = s;
          run.other_s = other.s;
        }
      }
    }
    const std::size_t known = events_.size();
    std::map<std::pair<int, int>, std::vector<std::size_t>> by_group_and_line;
    for (std::size_t e = 0; e < known; ++e) {
      by_group_and_line[{group(static_cast<int>(e)), events_[e].line}].push_back(e);
    }
    std::vector<std::vector<int>> on_line(lines_.size());
    for (std::size_t e = 0; e < known; ++e) {
      on_line[static_cast<std::size_t>(events_[e].line)].push_back(static_cast<int>(e));
    }
    for (const auto& [pair, of_pair] : runs) {
      for (const Run& run : of_pair) {
        const double slack = reach({pair.first, run.s}, {pair.second, run.other_s});
        const auto& mine = on_line[static_cast<std::size_t>(pair.first)];
        const bool met = std::any_of(mine.begin(), mine.end(), [&](int e) {
          const double s = events_[static_cast<std::size_t>(e)].s;
          return s >= run.from - slack && s <= run.to + slack &&
                 by_group_and_line.count({group(e), pair.second}) > 0;
        });
        if (met) continue;
        const int a = add({pair.first, run.s, false, false});
        unite(a, add({pair.second, run.other_s, false, false}));
      }
    }
  }

  // A stretch that comes back to its meeting without leaving the ink is no arm.
  bool stays_within(std::size_t l, double from, double to, double most) const {
    const Vec2 start = lines_[l].at(from);
    for (double s = from; s <= to; s += lines_[l].step) {
      if (distance(lines_[l].at(s), start) > most) return false;
    }
    return true;
  }

  void join_close_events() {
    on_line_.resize(lines_.size());
    for (std::size_t e = 0; e < events_.size(); ++e) {
      on_line_[static_cast<std::size_t>(events_[e].line)].push_back(static_cast<int>(e));
    }
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      std::vector<int>& here = on_line_[l];
      std::sort(here.begin(), here.end(), [&](int a, int b) {
        return events_[static_cast<std::size_t>(a)].s < events_[static_cast<std::size_t>(b)].s;
      });
      for (std::size_t i = 0; i + 1 < here.size(); ++i) {
        const double apart = events_[static_cast<std::size_t>(here[i + 1])].s -
                             events_[static_cast<std::size_t>(here[i])].s;
        if (apart > kOneMeeting) continue;
        unite(here[i], here[i + 1]);
        swallow(here[i], here[i + 1]);
      }
      if (!lines_[l].closed || here.size() < 2) continue;
      const double over_seam = events_[static_cast<std::size_t>(here.front())].s +
                               lines_[l].length - events_[static_cast<std::size_t>(here.back())].s;
      if (over_seam <= kOneMeeting) unite(here.front(), here.back());
    }
  }

  bool swallowed(int l, double from, double to) const {
    const auto& inner = inner_[static_cast<std::size_t>(l)];
    const double middle = (from + to) / 2.0;
    return std::any_of(inner.begin(), inner.end(), [&](const auto& span) {
      return span.first <= middle && middle <= span.second;
    });
  }

  struct Arm {
    Event from;
    double inward = 1.0;  // sign of s away from the meeting
    double length = 0.0;
  };

  Meetings collect() {
    std::map<int, std::vector<Arm>> arms;
    std::map<int, std::vector<int>> members;
    for (std::size_t e = 0; e < events_.size(); ++e) {
      members[group(static_cast<int>(e))].push_back(static_cast<int>(e));
    }
    struct Stretch {
      int a, b, line;
      double length;
    };
    std::vector<Stretch> stretches;
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      const std::vector<int>& here = on_line_[l];
      const std::size_t n = here.size();
      for (std::size_t i = 0; i + (lines_[l].closed ? 0 : 1) < n; ++i) {
        const Event& a = events_[static_cast<std::size_t>(here[i])];
        const Event& b = events_[static_cast<std::size_t>(here[(i + 1) % n])];
        const double to = i + 1 < n ? b.s : b.s + lines_[l].length;
        const double apart = to - a.s;
        const int ga = group(here[i]);
        const int gb = group(here[(i + 1) % n]);
        const bool seam = i + 1 == n && n > 1 && ga == gb && apart <= kOneMeeting;
        if (seam || swallowed(static_cast<int>(l), a.s, to)) continue;
        const bool a_loose = a.end && members[ga].size() == 1;
        const bool b_loose = b.end && members[gb].size() == 1;
        const double least = kReachWidths * lines_[l].width_at(a.s);
        if (a_loose != b_loose && apart < least) continue;
        if (ga == gb && stays_within(l, a.s, to, least)) continue;
        arms[ga].push_back({a, 1.0, apart});
        arms[gb].push_back({b, -1.0, apart});
        stretches.push_back({ga, gb, static_cast<int>(l), apart});
      }
    }

    Meetings out;
    out.loose.assign(lines_.size(), {false, false});
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      for (std::size_t e = 0; e < 2; ++e) {
        if (ends_[l][e] >= 0) out.loose[l][e] = members[group(ends_[l][e])].size() == 1;
      }
    }
    std::map<int, int> index;
    for (const auto& [g, its_arms] : arms) {
      if (its_arms.size() < 3) continue;
      index[g] = static_cast<int>(out.meetings.size());
      out.meetings.push_back(meeting(members[g], its_arms));
    }
    for (const Stretch& s : stretches) {
      const auto a = index.find(s.a);
      const auto b = index.find(s.b);
      if (a == index.end() || b == index.end() || s.a == s.b) continue;
      out.bridges.push_back({a->second, b->second, s.line, s.length});
    }
    return out;
  }

  Meeting meeting(const std::vector<int>& members, const std::vector<Arm>& its_arms) const {
    Meeting out;
    // Where lines cut is known best, then where an end's foot is; ends alone give their middle.
    const auto rank = [](const Event& e) { return e.cut ? 2 : e.end ? 0 : 1; };
    int best = 0;
    for (const int m : members) best = std::max(best, rank(events_[static_cast<std::size_t>(m)]));
    double count = 0.0;
    bool ends_here = false;
    for (const int m : members) {
      const Event& e = events_[static_cast<std::size_t>(m)];
      out.width += line(e.line).width_at(e.s) / static_cast<double>(members.size());
      ends_here = ends_here || e.end;
      out.passes.push_back({e.line, e.s});
      if (rank(e) != best) continue;
      out.at += place(e);
      count += 1.0;
    }
    out.at = out.at / count;
    for (const Arm& arm : its_arms) {
      const double ahead = std::min(out.width + 0.1, arm.length / 2.0);
      out.arms.push_back(
          normalized(line(arm.from.line).at(arm.from.s + arm.inward * ahead) - out.at));
    }
    double least = std::numbers::pi;
    for (std::size_t i = 0; i < out.arms.size(); ++i) {
      for (std::size_t k = i + 1; k < out.arms.size(); ++k) {
        least = std::min(least, angle_between(out.arms[i], out.arms[k]));
      }
    }
    out.least_angle = least;
    out.blot = std::min(kMostBlot, out.width / (2.0 * std::max(std::sin(least / 2.0), 1e-6)));
    const auto cuts = std::count_if(members.begin(), members.end(), [&](int m) {
      return events_[static_cast<std::size_t>(m)].cut;
    });
    out.crossing = !ends_here && cuts > 0 && its_arms.size() == 4;
    return out;
  }

  const std::vector<SampledLine>& lines_;
  const LineGrid& grid_;
  double kiss_;
  std::vector<Event> events_;
  std::vector<int> parent_;
  std::vector<std::array<int, 2>> ends_;                                  // events, -1: closed
  std::map<std::pair<int, int>, std::vector<std::pair<int, int>>> cuts_;  // events on either line
  std::vector<std::vector<std::pair<double, double>>> inner_;
  std::vector<std::vector<int>> on_line_;
};

}  // namespace

Meetings find_meetings(const std::vector<SampledLine>& lines,
                       const LineGrid& grid,
                       double kiss_mm) {
  return Finder(lines, grid, kiss_mm).find();
}

}  // namespace underdraw::test
