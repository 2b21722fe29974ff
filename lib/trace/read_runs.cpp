#include "trace/read_runs.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kRead = 0.25;        // least weight of a reading that a line is run on from
constexpr double kUnread = 0.02;      // weight of a place where nothing could be read: it stays
constexpr double kBridged = 0.04;     // weight of a place on the way across a blot
constexpr double kRunOn = 0.1;        // weight of a place that was run on to
constexpr double kTurn = 0.6;         // rad; a line that turns so much within a blot has a corner
constexpr double kLongestBlot = 8.0;  // pen widths that such a blot is long, at most
constexpr double kBroad = 9.0;        // px; a line of a brush, not of a pen
constexpr double kRoundEnd = 0.35;    // pen widths of a loose end that are not read
constexpr double kSharp = 1.0;        // rad; arms closer than this make a sharp point
constexpr double kInk = 0.5;          // share of the line's darkness that a corner's tip has
constexpr double kBendPx = 0.004;     // usual half curvature of a drawn line, 1 / px
constexpr double kGather = 0.9;       // pen widths within which ends are one point
constexpr std::size_t kFewest = 6;    // places; a shorter line stays as it is
constexpr double kErrPx = 0.3;        // usual error of one reading, px

// How a line runs on beyond its last reading.
struct RunOn {
  Vec2 at;
  Vec2 along;            // unit
  Vec2 bend;             // half the second derivative in length
  std::size_t from = 0;  // place it starts at

  Vec2 point(double s) const { return at + along * s + bend * (s * s); }
};

// All lines of a drawing, to run on to each other.
struct Drawing {
  const cv::Mat& smooth;
  const std::vector<Places>& places;
  const PlaceGrid& grid;
};

// Where an open line ends.
struct LineEnd {
  Vec2 at;
  bool on_ink = false;  // in the ink of other lines, not loose
  double width = 0.0;
};

class RunReader {
 public:
  RunReader(const Drawing& drawing, std::size_t stroke, const std::vector<LineReading>& readings)
      : drawing_(drawing), stroke_(stroke), own_(drawing.places[stroke]) {
    for (std::size_t i = 0; i < own_.list.size(); ++i) {
      const LinePlace& place = own_.list[i];
      const LineReading& r = readings[i];
      const bool read = r.weight > 0.0 && std::abs(r.aside) < 0.5 * place.width;
      points_.push_back(place.at + perpendicular(place.along) * (read ? r.aside : 0.0));
      weights_.push_back(read ? std::max(kUnread, r.weight) : kUnread);
    }
  }

  // Finds the parts, and the ends of an open line: its start, then its end.
  void find_parts() {
    find_corners_in_blots();
    stops_ = corners_;
    whole_ = own_.ring && stops_.empty();
    if (whole_) return;
    if (own_.ring) {
      turn_ring_to(stops_.front());
      for (std::size_t& s : stops_) s -= corners_.front();
    } else {
      stops_.insert(stops_.begin(), 0);
    }
    stops_.push_back(points_.size() - 1);
    for (std::size_t k = 0; k + 1 < stops_.size(); ++k) {
      parts_.push_back(part(stops_[k], stops_[k + 1]));
    }
    if (own_.ring) return;
    const RunOn& head = parts_.front().head;
    const RunOn& tail = parts_.back().tail;
    ends_ = {end_of(head, own_.so_far_at(head.from), false),
             end_of(tail, own_.length - own_.so_far_at(tail.from), true)};
  }
  std::vector<LineEnd>& ends() { return ends_; }  // none of a closed line

  ReadLine line() const {
    if (whole_) return {points_, weights_, {}};
    // Corners: where the parts before and after run on into each other.
    std::vector<Vec2> turns(parts_.size());  // at the end of each part
    for (std::size_t k = 0; k < parts_.size(); ++k) {
      const bool last = k + 1 == parts_.size();
      if (last && !own_.ring) break;
      turns[k] = corner_of(parts_[k], parts_[last ? 0 : k + 1], points_[stops_[k + 1]]);
    }
    ReadLine out;
    for (std::size_t k = 0; k < parts_.size(); ++k) {
      const Part& p = parts_[k];
      const bool first = k == 0;
      const bool last = k + 1 == parts_.size();
      if (first && !own_.ring) {
        add_head(out, ends_[0].at, stops_[k], p.head, 1.0);
      } else {
        out.corners.push_back(out.points.size());
        add_head(out, first ? turns.back() : turns[k - 1], stops_[k], p.head, kRunOn);
      }
      for (std::size_t i = p.head.from; i <= p.tail.from; ++i) add(out, points_[i], weights_[i]);
      if (last && !own_.ring) {
        add_tail(out, p.tail, stops_[k + 1], ends_[1].at);
        add(out, ends_[1].at, 1.0);
      } else {
        add_tail(out, p.tail, stops_[k + 1], turns[k]);
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
  // Places on the way from where a line was last read to a point, which leaves along the line.
  static std::vector<Vec2> way(const RunOn& run, Vec2 to) {
    std::vector<Vec2> out;
    const double far = distance(run.at, to);
    const int steps = static_cast<int>(far);
    const Vec2 bend = to - run.at - run.along * far;
    for (int k = 1; k < steps; ++k) {
      const double share = static_cast<double>(k) / steps;
      out.push_back(run.at + run.along * (far * share) + bend * (share * share));
    }
    return out;
  }
  // A line that would leave the ink on its way keeps the places that it had, from `stop` on.
  void add_head(
      ReadLine& out, Vec2 from, std::size_t stop, const RunOn& head, double weight) const {
    add(out, from, weight);
    const std::vector<Vec2> places = way(head, from);
    if (stays_on_ink(places, head.at, head.at)) {
      for (auto p = places.rbegin(); p != places.rend(); ++p) add(out, *p, kRunOn);
    } else {
      for (std::size_t i = stop + 1; i < head.from; ++i) add(out, points_[i], kRunOn);
    }
  }
  void add_tail(ReadLine& out, const RunOn& tail, std::size_t stop, Vec2 to) const {
    const std::vector<Vec2> places = way(tail, to);
    if (stays_on_ink(places, tail.at, tail.at)) {
      for (const Vec2 p : places) add(out, p, kRunOn);
    } else {
      for (std::size_t i = tail.from + 1; i < stop; ++i) add(out, points_[i], kRunOn);
    }
  }

  bool blocked(std::size_t i) const {
    const LinePlace& p = own_.list[std::min(i, own_.list.size() - 1)];
    return !p.left_free() || !p.right_free();
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
      if (long_px > kLongestBlot * own_.list[from].width) continue;
      const bool known = std::any_of(corners_.begin(), corners_.end(), [&](std::size_t c) {
        return c + 6 >= from && c <= i + 6;
      });
      if (known) continue;
      const RunOn before = run_on(from - 1, 0, -1);
      const RunOn after = run_on(i, n - 1, 1);
      if (turn < kTurn) {
        bridge(from, i, before, after);
        continue;
      }
      const std::size_t middle = (from + i) / 2;
      const std::optional<Vec2> tip = crossing(before, after, 1.5 * long_px);
      if (tip && is_ink(*tip, points_[from - 1], points_[i])) {
        corners_.insert(std::upper_bound(corners_.begin(), corners_.end(), middle), middle);
      }
    }
  }

  // Places from..to (not included), which nothing shows, on the smoothest way across.
  void bridge(std::size_t from, std::size_t to, const RunOn& before, const RunOn& after) {
    const Cubic way = smooth_way(before.at, before.along, after.at, -after.along);
    const double steps = static_cast<double>(to - from + 1);
    std::vector<Vec2> across;
    for (std::size_t k = from; k < to; ++k) {
      across.push_back(way.at(static_cast<double>(k - from + 1) / steps));
    }
    if (!stays_on_ink(across, before.at, after.at)) return;
    for (std::size_t k = from; k < to; ++k) {
      points_[k] = across[k - from];
      weights_[k] = kBridged;
    }
  }

  bool is_ink(Vec2 at, Vec2 body_a, Vec2 body_b) const {
    const double body =
        0.5 * (value_at(drawing_.smooth, body_a) + value_at(drawing_.smooth, body_b));
    return value_at(drawing_.smooth, at) > kInk * body;
  }

  bool stays_on_ink(const std::vector<Vec2>& way, Vec2 body_a, Vec2 body_b) const {
    std::size_t on = 0;
    for (const Vec2 p : way) on += is_ink(p, body_a, body_b) ? 1 : 0;
    return 10 * on >= 9 * way.size();
  }

  void turn_ring_to(std::size_t first) {
    const auto by = static_cast<std::ptrdiff_t>(first);
    std::rotate(points_.begin(), points_.begin() + by, points_.end());
    std::rotate(weights_.begin(), weights_.begin() + by, weights_.end());
    points_.push_back(points_.front());
    weights_.push_back(weights_.front());
  }

  // The part between two stops, cut back to where it can be read.
  Part part(std::size_t from, std::size_t to) const {
    const auto sound = [&](std::size_t i) { return weights_[i] >= kRead; };
    std::size_t first = from;
    std::size_t last = to;
    if (!own_.ring) {  // in the round of a loose end rows across the line mean little
      const auto round_off = [&](std::size_t i) {
        const double width = own_.list[i].width;
        const bool round = !blocked(i) && width > kBroad;
        return round ? static_cast<std::size_t>(kRoundEnd * width) : std::size_t{0};
      };
      const std::size_t shortest = (to - from) / 3;
      if (from == 0) first += std::min(shortest, round_off(0));
      if (to + 1 == own_.list.size()) last -= std::min(shortest, round_off(to));
    }
    while (first + 2 < to && !(sound(first) && sound(first + 1) && sound(first + 2))) ++first;
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
    const double det =
        n * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s2 * s3) + s2 * (s1 * s3 - s2 * s2);
    if (det < 1e-6 || -s < 2.0) {
      out.at = points_[start];
      out.along = normalized(points_[start] - points_[limit]);
      return out;
    }
    out.at = points_[start] +
             (p0 * (s2 * s4 - s3 * s3) - p1 * (s1 * s4 - s2 * s3) + p2 * (s1 * s3 - s2 * s2)) / det;
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
    const bool sharp = dot(before.tail.along, after.head.along) > std::cos(kSharp);
    if (sharp) {
      // The ink of a sharp point ends half a pen's width beyond where the pen turned.
      const Vec2 out = normalized(before.tail.along + after.head.along);
      const Vec2 middle = mix(before.tail.at, after.head.at, 0.5);
      double tip = 0.0;
      for (double s = 0.0; s < gap + 2.0 * width; s += 0.25) {
        if (!is_ink(middle + out * s, before.tail.at, after.head.at)) break;
        tip = s;
      }
      if (tip > 0.5 * width) return middle + out * (tip - 0.5 * width);
    }
    if (p && is_ink(*p, before.tail.at, after.head.at)) return *p;
    return as_it_was;
  }

  // Where an open end is: on the line that it runs into, or as far as its ink went.
  LineEnd end_of(const RunOn& run, double to_end, bool at_end) const {
    const std::size_t last = at_end ? own_.list.size() - 1 : 0;
    const LinePlace& end = own_.list[last];
    if (!blocked(last)) return {run.point(to_end), false, end.width};
    const double reach = to_end + 1.5 * end.width + 2.0;
    std::optional<double> side_before;
    int line_before = -1;
    for (double s = std::max(0.0, to_end - 2.0 * end.width - 4.0); s < reach; s += 0.5) {
      const Vec2 p = run.point(s);
      constexpr double kNear = 2.0;  // px
      double nearest = kNear;
      double side = 0.0;
      int line = -1;
      drawing_.grid.visit_near(p, kNear, [&](const PlaceGrid::Entry& e) {
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
        const double share =
            std::abs(side) / std::max(std::abs(side) + std::abs(*side_before), 1e-9);
        return {run.point(s - 0.5 * share), true, end.width};
      }
      side_before = line >= 0 ? std::optional(side) : std::nullopt;
      line_before = line;
    }
    return {run.point(std::min(to_end, distance(run.at, end.at))), true, end.width};
  }

  const Drawing& drawing_;
  std::size_t stroke_;
  const Places& own_;
  std::vector<Vec2> points_;
  std::vector<double> weights_;
  std::vector<std::size_t> corners_;
  std::vector<std::size_t> stops_;
  std::vector<Part> parts_;
  std::vector<LineEnd> ends_;
  bool whole_ = false;  // a ring without corners
};

// Ends in ink that lie within a pen's width of each other become one point.
void gather_ends(std::vector<RunReader>& readers) {
  std::vector<LineEnd*> ends;
  for (RunReader& reader : readers) {
    for (LineEnd& end : reader.ends()) {
      if (end.on_ink) ends.push_back(&end);
    }
  }
  std::sort(ends.begin(), ends.end(), [](const LineEnd* a, const LineEnd* b) {
    return a->at.x != b->at.x ? a->at.x < b->at.x : a->at.y < b->at.y;
  });
  std::vector<std::size_t> group(ends.size());
  std::vector<Vec2> sums(ends.size());
  std::vector<double> counts(ends.size(), 0.0);
  for (std::size_t i = 0; i < ends.size(); ++i) {
    group[i] = i;
    const double reach = kGather * ends[i]->width;
    for (std::size_t j = i; j-- > 0 && ends[i]->at.x - ends[j]->at.x < reach;) {
      if (distance(ends[i]->at, ends[j]->at) < reach) {
        group[i] = group[j];
        break;
      }
    }
    sums[group[i]] += ends[i]->at;
    counts[group[i]] += 1.0;
  }
  for (std::size_t i = 0; i < ends.size(); ++i) ends[i]->at = sums[group[i]] / counts[group[i]];
}

}  // namespace

std::vector<ReadLine> read_runs(const cv::Mat& smooth,
                                const std::vector<Places>& places,
                                const PlaceGrid& grid,
                                const std::vector<std::vector<LineReading>>& readings) {
  const Drawing drawing{smooth, places, grid};
  std::vector<RunReader> readers;
  readers.reserve(places.size());
  for (std::size_t s = 0; s < places.size(); ++s) {
    readers.emplace_back(drawing, s, readings[s]);
    if (places[s].list.size() >= kFewest) readers.back().find_parts();
  }
  gather_ends(readers);
  std::vector<ReadLine> out;
  for (std::size_t s = 0; s < places.size(); ++s) {
    out.push_back(places[s].list.size() >= kFewest ? readers[s].line() : ReadLine{});
  }
  return out;
}

}  // namespace underdraw
