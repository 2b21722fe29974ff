#include "trace/read_runs.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "trace/refine_line.h"

namespace underdraw {
namespace {

constexpr double kRead = 0.25;        // least weight of a reading that a line is run on from
constexpr double kUnread = 0.02;      // weight of a place where nothing could be read: it stays
constexpr double kRunOn = 0.3;        // weight of a place that was run on to
constexpr double kTurn = 0.6;         // rad; a line that turns so much within a blot has a corner
constexpr double kLongestBlot = 8.0;  // pen widths that such a blot is long, at most
constexpr double kInk = 0.5;          // share of the line's darkness that a corner's tip has
constexpr double kBendPx = 0.004;     // usual half curvature of a drawn line, 1 / px
constexpr double kErrPx = 0.3;        // usual error of one reading, px

// How a line runs on beyond its last reading.
struct RunOn {
  Vec2 at;
  Vec2 along;           // unit
  Vec2 bend;            // half the second derivative in length
  std::size_t from = 0; // place it starts at

  Vec2 point(double s) const { return at + along * s + bend * (s * s); }
};

class RunReader {
 public:
  RunReader(const ReadDrawing& drawing,
            std::size_t stroke,
            const std::vector<LineReading>& readings)
      : drawing_(drawing), stroke_(stroke), own_(drawing.places[stroke]), readings_(readings) {
    for (std::size_t i = 0; i < own_.list.size(); ++i) {
      const LinePlace& place = own_.list[i];
      const LineReading& r = readings[i];
      const bool read = r.weight > 0.0 && std::abs(r.aside) < 0.5 * place.width;
      points_.push_back(place.at + perpendicular(place.along) * (read ? r.aside : 0.0));
      weights_.push_back(read ? std::max(kUnread, r.weight) : kUnread);
    }
  }

  ReadLine read() {
    find_corners_in_blots();
    std::vector<std::size_t> stops = corners_;
    if (own_.ring) {
      if (stops.empty()) return {points_, weights_, {}};
      turn_ring_to(stops.front());
      for (std::size_t& s : stops) s -= corners_.front();
      stops.push_back(points_.size() - 1);
    } else {
      stops.insert(stops.begin(), 0);
      stops.push_back(points_.size() - 1);
    }
    std::vector<Part> parts;
    for (std::size_t k = 0; k + 1 < stops.size(); ++k) parts.push_back(part(stops[k], stops[k + 1]));
    // Corners: where the parts before and after run on into each other.
    std::vector<Vec2> turns(parts.size());  // at the end of each part
    for (std::size_t k = 0; k < parts.size(); ++k) {
      const bool last = k + 1 == parts.size();
      if (last && !own_.ring) break;
      const Part& before = parts[k];
      const Part& after = parts[last ? 0 : k + 1];
      turns[k] = corner_of(before, after, points_[stops[k + 1]]);
    }
    ReadLine out;
    for (std::size_t k = 0; k < parts.size(); ++k) {
      const Part& p = parts[k];
      const bool first = k == 0;
      const bool last = k + 1 == parts.size();
      if (first && !own_.ring) {
        add_run(out, end_of(p.head, own_.so_far_at(p.head.from), false), p.head, true);
      } else {
        const Vec2 corner = first ? turns.back() : turns[k - 1];
        out.corners.push_back(out.points.size());
        add(out, corner, kRunOn);
        add_between(out, corner, p.head.at);
      }
      for (std::size_t i = p.head.from; i <= p.tail.from; ++i) add(out, points_[i], weights_[i]);
      if (last && !own_.ring) {
        add_run(out, end_of(p.tail, own_.length - own_.so_far_at(p.tail.from), true), p.tail, false);
      } else {
        add_between(out, p.tail.at, turns[k]);
      }
    }
    return out;
  }

 private:
  struct Part {
    RunOn head;  // runs on backwards
    RunOn tail;
  };

  static void add(ReadLine& out, Vec2 p, double weight) {
    out.points.push_back(p);
    out.weights.push_back(weight);
  }
  // Places strictly between two points.
  static void add_between(ReadLine& out, Vec2 a, Vec2 b) {
    const int steps = static_cast<int>(distance(a, b));
    for (int k = 1; k < steps; ++k) add(out, mix(a, b, static_cast<double>(k) / steps), kRunOn);
  }
  static void add_run(ReadLine& out, Vec2 end, const RunOn& run, bool before) {
    const double far = distance(run.at, end);
    if (far < 0.7) {
      if (!before) return;
      return;
    }
    if (before) {
      add(out, end, 1.0);
      add_between(out, end, run.at);
    } else {
      add_between(out, run.at, end);
      add(out, end, 1.0);
    }
  }

  bool blocked(std::size_t i) const {
    const LinePlace& p = own_.list[std::min(i, own_.list.size() - 1)];
    const double touching = 0.5 * p.width + 0.6;
    return p.left.value_or(1e9) <= touching || p.right.value_or(1e9) <= touching;
  }

  // A blot in which the line turns round hides a corner.
  void find_corners_in_blots() {
    corners_ = own_.corners;
    const std::size_t n = own_.list.size();
    std::size_t i = 1;
    while (i + 1 < n) {
      if (weights_[i] >= kRead || !blocked(i)) {
        ++i;
        continue;
      }
      const std::size_t from = i;
      while (i + 1 < n && weights_[i] < kRead && blocked(i)) ++i;
      if (from < 4 || i + 4 >= n) continue;
      const double turn = angle_between(own_.list[from - 3].along, own_.list[i + 2].along);
      const double long_px = own_.so_far[i] - own_.so_far[from];
      if (turn < kTurn || long_px > kLongestBlot * own_.list[from].width) continue;
      const bool known = std::any_of(corners_.begin(), corners_.end(), [&](std::size_t c) {
        return c + 6 >= from && c <= i + 6;
      });
      if (known) continue;
      const std::size_t middle = (from + i) / 2;
      const RunOn before = run_on(from - 1, 0, -1);
      const RunOn after = run_on(i, n - 1, 1);
      const std::optional<Vec2> tip = crossing(before, after, 1.5 * long_px);
      if (tip && is_ink(*tip, points_[from - 1], points_[i])) {
        corners_.insert(std::upper_bound(corners_.begin(), corners_.end(), middle), middle);
      }
    }
  }

  bool is_ink(Vec2 at, Vec2 body_a, Vec2 body_b) const {
    const double body = 0.5 * (value_at(drawing_.smooth, body_a) + value_at(drawing_.smooth, body_b));
    return value_at(drawing_.smooth, at) > kInk * body;
  }

  void turn_ring_to(std::size_t first) {
    const auto by = static_cast<std::ptrdiff_t>(first);
    std::rotate(points_.begin(), points_.begin() + by, points_.end());
    std::rotate(weights_.begin(), weights_.begin() + by, weights_.end());
    points_.push_back(points_.front());
    weights_.push_back(weights_.front());
    turned_ = first;
  }

  // The part between two stops, cut back to where it can be read.
  Part part(std::size_t from, std::size_t to) const {
    const auto sound = [&](std::size_t i) {
      return weights_[i] >= kRead;
    };
    std::size_t first = from;
    while (first + 2 < to && !(sound(first) && sound(first + 1) && sound(first + 2))) ++first;
    std::size_t last = to;
    while (last > first + 2 && !(sound(last) && sound(last - 1) && sound(last - 2))) --last;
    if (last <= first + 2) {  // nothing of it can be read: it stays as it is
      first = from;
      last = to;
    }
    return {run_on(first, last, 1), run_on(last, first, -1)};
  }

  // Least squares over the readings from `start` on towards `limit`; runs on the other way. Bends
  // only as much as the readings insist.
  RunOn run_on(std::size_t start, std::size_t limit, int step) const {
    RunOn out;
    out.from = start;
    const double width = own_.list[std::min(start, own_.list.size() - 1)].width;
    const double reach = std::max(10.0, 3.0 * width);
    double n = 1e-9, s1 = 0, s2 = 0, s3 = 0, s4 = 0;
    Vec2 p0, p1, p2;
    double s = 0.0;
    std::size_t i = start;
    Vec2 before = points_[start];
    while (true) {
      s -= distance(points_[i], before);
      before = points_[i];
      if (-s > reach) break;
      const double w = weights_[i];
      const Vec2 p = points_[i] - points_[start];
      n += w;
      s1 += w * s;
      s2 += w * s * s;
      s3 += w * s * s * s;
      s4 += w * s * s * s * s;
      p0 += p * w;
      p1 += p * (w * s);
      p2 += p * (w * s * s);
      if (i == limit) break;
      i = step > 0 ? i + 1 : i - 1;
    }
    s4 += (kErrPx / kBendPx) * (kErrPx / kBendPx);
    const double det = n * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s2 * s3) + s2 * (s1 * s3 - s2 * s2);
    if (det < 1e-6 || -s < 2.0) {
      out.at = points_[start];
      out.along = normalized(points_[start] - points_[limit]);
      return out;
    }
    out.at = points_[start] + (p0 * (s2 * s4 - s3 * s3) - p1 * (s1 * s4 - s2 * s3) +
                               p2 * (s1 * s3 - s2 * s2)) / det;
    const Vec2 slope =
        (p1 * (n * s4 - s2 * s2) - p0 * (s1 * s4 - s2 * s3) - p2 * (n * s3 - s1 * s2)) / det;
    const Vec2 bend =
        (p2 * (n * s2 - s1 * s1) - p1 * (n * s3 - s1 * s2) + p0 * (s1 * s3 - s2 * s2)) / det;
    const double speed = std::max(length(slope), 1e-9);
    out.along = slope / speed;
    // Only what turns the line counts, not what stretches it.
    const Vec2 right = perpendicular(out.along);
    out.bend = right * (dot(bend, right) / (speed * speed));
    return out;
  }

  // Where two lines that run on first cross.
  static std::optional<Vec2> crossing(const RunOn& a, const RunOn& b, double reach) {
    const int steps = static_cast<int>(reach) + 2;
    std::optional<Vec2> out;
    double nearest = 1e9;
    for (int i = -2; i < steps; ++i) {
      const Vec2 a0 = a.point(i);
      const Vec2 da = a.point(i + 1) - a0;
      for (int j = -2; j < steps; ++j) {
        if (i + j > nearest) break;
        const Vec2 b0 = b.point(j);
        const Vec2 db = b.point(j + 1) - b0;
        const double det = cross(da, db);
        if (std::abs(det) < 1e-6) continue;
        const double s = cross(b0 - a0, db) / det;
        const double t = cross(b0 - a0, da) / det;
        if (s < 0.0 || s > 1.0 || t < 0.0 || t > 1.0) continue;
        nearest = i + j;
        out = a0 + da * s;
      }
    }
    return out;
  }

  Vec2 corner_of(const Part& before, const Part& after, Vec2 as_it_was) const {
    const double width = own_.list[std::min(before.tail.from, own_.list.size() - 1)].width;
    const double gap = distance(before.tail.at, as_it_was) + distance(as_it_was, after.head.at);
    const std::optional<Vec2> p = crossing(before.tail, after.head, gap + 2.0 * width);
    if (p && is_ink(*p, before.tail.at, after.head.at)) return *p;
    return as_it_was;
  }

  // Where an open end is: on the line that it runs into, or as far as its ink went.
  Vec2 end_of(const RunOn& run, double to_end, bool at_end) const {
    const std::size_t last = at_end ? own_.list.size() - 1 : 0;
    if (!blocked(last)) return run.point(to_end);
    const LinePlace& end = own_.list[last];
    const double reach = to_end + 1.5 * end.width + 2.0;
    std::optional<double> side_before;
    int line_before = -1;
    for (double s = std::max(0.0, to_end - 2.0 * end.width - 4.0); s < reach; s += 0.5) {
      const Vec2 p = run.point(s);
      double nearest = 2.0;
      double side = 0.0;
      int line = -1;
      drawing_.grid.visit_near(p, [&](const PlaceGrid::Entry& e) {
        const Places& other = drawing_.places[static_cast<std::size_t>(e.stroke)];
        const auto i = static_cast<std::size_t>(e.place);
        if (static_cast<std::size_t>(e.stroke) == stroke_) {
          const double along = std::abs(other.so_far[i] - own_.so_far[last]);
          if (along < to_end + 3.0 * end.width) return;
        }
        const double d = distance(other.list[i].at, p);
        if (d < nearest) {
          nearest = d;
          line = e.stroke;
          side = cross(other.list[i].along, p - other.list[i].at);
        }
      });
      if (line >= 0 && side_before && line == line_before && side * *side_before <= 0.0) {
        const double share = std::abs(side) / std::max(std::abs(side) + std::abs(*side_before), 1e-9);
        return run.point(s - 0.5 * share);
      }
      side_before = line >= 0 ? std::optional(side) : std::nullopt;
      line_before = line;
    }
    return end.at;
  }

  const ReadDrawing& drawing_;
  std::size_t stroke_;
  const Places& own_;
  const std::vector<LineReading>& readings_;
  std::vector<Vec2> points_;
  std::vector<double> weights_;
  std::vector<std::size_t> corners_;
  std::size_t turned_ = 0;
};

}  // namespace

ReadLine read_runs(const ReadDrawing& drawing,
                   std::size_t stroke,
                   const std::vector<LineReading>& readings) {
  return RunReader(drawing, stroke, readings).read();
}

}  // namespace underdraw
