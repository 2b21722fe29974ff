#include "geometry/meetings.h"

#include <algorithm>
#include <cstdint>
#include <optional>
#include <unordered_map>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kFlatMm = 0.01;
constexpr double kCellMm = 1.0;

// A piece of a flattened line; `along` is the distance of `a` from the line's start.
struct Segment {
  Vec2 a, b;
  std::size_t line = 0;
  double along = 0.0;
};

Box box_of(const Segment& segment) {
  Box box;
  box.add(segment.a);
  box.add(segment.b);
  return box;
}

struct Line {
  double half_width = 0.0;
  double length = 0.0;
  bool closed = false;
};

// Where one line passes or ends: candidates that lie together become one meeting.
struct Touch {
  Vec2 at;
  std::size_t line = 0;
  double along = 0.0;
  bool end = false;
};

class Grid {
 public:
  void add(const Box& box, std::size_t index) {
    each_cell(box, [&](std::int64_t key) { cells_[key].push_back(index); });
  }

  // Calls for everything near the box, some of it more than once.
  template <typename Call>
  void near(const Box& box, Call call) const {
    each_cell(box, [&](std::int64_t key) {
      const auto found = cells_.find(key);
      if (found == cells_.end()) return;
      for (const std::size_t index : found->second) call(index);
    });
  }

 private:
  template <typename Call>
  static void each_cell(const Box& box, Call call) {
    const auto cell = [](double v) { return static_cast<std::int64_t>(std::floor(v / kCellMm)); };
    for (std::int64_t y = cell(box.min.y); y <= cell(box.max.y); ++y) {
      for (std::int64_t x = cell(box.min.x); x <= cell(box.max.x); ++x) {
        call(y * 1'000'003 + x);
      }
    }
  }

  std::unordered_map<std::int64_t, std::vector<std::size_t>> cells_;
};

class Finder {
 public:
  Finder(const Linework& lines, const MeetingOptions& options) : options_(options) {
    for (const Stroke& stroke : lines.strokes) {
      if (!stroke.path.is_dot()) add(stroke.path, stroke.width_mm / 2.0);
    }
    for (const Area& area : lines.areas) {
      for (const Path& ring : area.rings) add(ring, 0.0);
    }
    for (std::size_t i = 0; i < segments_.size(); ++i) grid_.add(box_of(segments_[i]), i);
  }

  LineEnds find() {
    LineEnds out;
    for (const Touch& end : ends_) {
      if (!touch_end(end)) out.loose.push_back(end.at);
    }
    touch_crossings();
    out.meetings = grouped();
    return out;
  }

 private:
  void add(const Path& path, double half_width) {
    const std::vector<Vec2> points = flatten(path, kFlatMm);
    if (points.size() < 2) return;
    const std::size_t line = lines_.size();
    double along = 0.0;
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      segments_.push_back({points[i], points[i + 1], line, along});
      along += distance(points[i], points[i + 1]);
    }
    widest_ = std::max(widest_, half_width);
    lines_.push_back({half_width, along, path.closed});
    if (path.closed) return;
    ends_.push_back({points.front(), line, 0.0, true});
    ends_.push_back({points.back(), line, along, true});
  }

  // Far enough along the same line not to be the neighbourhood of the place itself.
  bool elsewhere(std::size_t line, double a, double b) const {
    const Line& l = lines_[line];
    double apart = std::abs(a - b);
    if (l.closed) apart = std::min(apart, l.length - apart);
    return apart > 4.0 * (l.half_width + options_.reach_mm) + options_.together_mm;
  }

  bool touch_end(const Touch& end) {
    bool touches = false;
    grid_.near(Box{end.at, end.at}.grown(options_.reach_mm + widest_), [&](std::size_t index) {
      const Segment& s = segments_[index];
      const Vec2 d = s.b - s.a;
      const double t = std::clamp(dot(end.at - s.a, d) / std::max(dot(d, d), 1e-18), 0.0, 1.0);
      const double along = s.along + t * length(d);
      if (s.line == end.line && !elsewhere(s.line, along, end.along)) return;
      if (distance(mix(s.a, s.b, t), end.at) > options_.reach_mm + lines_[s.line].half_width) {
        return;
      }
      touches = true;
      touches_.push_back({end.at, s.line, along, is_end(s.line, along)});
    });
    if (touches) touches_.push_back(end);
    return touches;
  }

  bool is_end(std::size_t line, double along) const {
    const Line& l = lines_[line];
    const double near = options_.together_mm + l.half_width;
    return !l.closed && (along < near || along > l.length - near);
  }

  void touch_crossings() {
    for (std::size_t i = 0; i < segments_.size(); ++i) {
      const Segment& s = segments_[i];
      grid_.near(box_of(s), [&](std::size_t k) {
        if (k <= i) return;
        const Segment& o = segments_[k];
        const Vec2 d = s.b - s.a;
        const Vec2 e = o.b - o.a;
        const double turn = cross(d, e);
        if (std::abs(turn) < 1e-12) return;
        const double t = cross(o.a - s.a, e) / turn;
        const double u = cross(o.a - s.a, d) / turn;
        if (t < 0.0 || t > 1.0 || u < 0.0 || u > 1.0) return;
        const double here = s.along + t * length(d);
        const double there = o.along + u * length(e);
        if (s.line == o.line && !elsewhere(s.line, here, there)) return;
        const Vec2 at = mix(s.a, s.b, t);
        touches_.push_back({at, s.line, here, is_end(s.line, here)});
        touches_.push_back({at, o.line, there, is_end(o.line, there)});
      });
    }
  }

  // Touches within `together_mm` of a meeting's first touch are its; each passage of a line counts
  // two arms and each end one.
  std::vector<Meeting> grouped() const {
    struct Passage {
      std::size_t line;
      double along;
      bool end;
    };
    struct Group {
      Vec2 first, sum;
      double count = 0.0;
      std::vector<Passage> passages;
    };
    std::vector<Group> groups;
    Grid firsts;  // of the groups
    for (const Touch& touch : touches_) {
      std::optional<std::size_t> nearby;  // the latest group that is near
      firsts.near(Box{touch.at, touch.at}.grown(options_.together_mm), [&](std::size_t g) {
        if (distance(groups[g].first, touch.at) > options_.together_mm) return;
        nearby = std::max(nearby.value_or(0), g);
      });
      if (!nearby) {
        nearby = groups.size();
        firsts.add(Box{touch.at, touch.at}, groups.size());
        groups.push_back({touch.at, {}, 0.0, {}});
      }
      Group* const group = &groups[*nearby];
      group->sum += touch.at;
      group->count += 1.0;
      bool known = false;
      for (Passage& p : group->passages) {
        if (p.line != touch.line || elsewhere(p.line, p.along, touch.along)) continue;
        p.end = p.end || touch.end;
        known = true;
      }
      if (!known) group->passages.push_back({touch.line, touch.along, touch.end});
    }
    std::vector<Meeting> meetings;
    for (const Group& g : groups) {
      int arms = 0;
      for (const Passage& p : g.passages) arms += p.end ? 1 : 2;
      meetings.push_back({g.sum / g.count, arms});
    }
    return meetings;
  }

  MeetingOptions options_;
  double widest_ = 0.0;  // half width of the widest line
  std::vector<Line> lines_;
  std::vector<Segment> segments_;
  std::vector<Touch> ends_;
  std::vector<Touch> touches_;
  Grid grid_;
};

}  // namespace

void MeetingOptions::validate() const {
  require_between(reach_mm, 0.0, 5.0, "reach", "mm");
  require_between(together_mm, 1e-6, 5.0, "together", "mm");
}

LineEnds find_line_ends(const Linework& lines, const MeetingOptions& options) {
  options.validate();
  return Finder(lines, options).find();
}

}  // namespace underdraw
