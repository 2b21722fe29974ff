#include "sketch.h"

#include <cmath>

namespace harbour {
namespace {

using namespace underdraw;

constexpr double kShortest_mm = 1.0;  // shorter leftovers behind a cover are not worth a stroke

// Tangents of the cubic spline through points at the given parameters, one coordinate at a time
// (natural ends), by the usual three-term elimination.
std::vector<Vec2> spline_tangents(const std::vector<Vec2>& p, const std::vector<double>& u) {
  const std::size_t n = p.size();
  std::vector<double> low(n), mid(n), high(n);
  std::vector<Vec2> right(n);
  mid[0] = 2.0;
  high[0] = 1.0;
  right[0] = 3.0 * (p[1] - p[0]) / (u[1] - u[0]);
  low[n - 1] = 1.0;
  mid[n - 1] = 2.0;
  right[n - 1] = 3.0 * (p[n - 1] - p[n - 2]) / (u[n - 1] - u[n - 2]);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double before = u[i] - u[i - 1];
    const double after = u[i + 1] - u[i];
    low[i] = after;
    mid[i] = 2.0 * (before + after);
    high[i] = before;
    right[i] = 3.0 * (before * (p[i + 1] - p[i]) / after + after * (p[i] - p[i - 1]) / before);
  }
  for (std::size_t i = 1; i < n; ++i) {
    const double k = low[i] / mid[i - 1];
    mid[i] -= k * high[i - 1];
    right[i] = right[i] - k * right[i - 1];
  }
  std::vector<Vec2> tangents(n);
  tangents[n - 1] = right[n - 1] / mid[n - 1];
  for (std::size_t i = n - 1; i-- > 0;) {
    tangents[i] = (right[i] - high[i] * tangents[i + 1]) / mid[i];
  }
  return tangents;
}

double distance_to_segment(Vec2 p, Vec2 a, Vec2 b) {
  const Vec2 ab = b - a;
  const double whole = dot(ab, ab);
  const double t = whole > 0.0 ? std::clamp(dot(p - a, ab) / whole, 0.0, 1.0) : 0.0;
  return distance(p, a + ab * t);
}

bool inside(const std::vector<Vec2>& ring, Vec2 p) {
  bool in = false;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Vec2 a = ring[i];
    const Vec2 b = ring[(i + 1) % ring.size()];
    if ((a.y > p.y) == (b.y > p.y)) continue;
    if (p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) in = !in;
  }
  return in;
}

}  // namespace

Path spline(const std::vector<Vec2>& through, bool closed) {
  std::vector<Vec2> p = through;
  std::size_t first = 0;
  std::size_t pieces = p.size() - 1;
  if (closed) {
    // Three rounds; the middle one no longer feels the ends.
    pieces = first = through.size();
    p.insert(p.end(), through.begin(), through.end());
    p.insert(p.end(), through.begin(), through.end());
    p.push_back(through.front());
  }
  std::vector<double> u(p.size(), 0.0);
  for (std::size_t i = 1; i < p.size(); ++i)
    u[i] = u[i - 1] + std::pow(distance(p[i], p[i - 1]), 0.7);
  const std::vector<Vec2> tangents = spline_tangents(p, u);
  Path path;
  path.closed = closed;
  for (std::size_t i = first; i < first + pieces; ++i) {
    const double third = (u[i + 1] - u[i]) / 3.0;
    path.append({p[i], p[i] + tangents[i] * third, p[i + 1] - tangents[i + 1] * third, p[i + 1]});
  }
  return path;
}

Path sweep(Vec2 from, Vec2 leaving, Vec2 to, Vec2 arriving) {
  Path path;
  path.append({from, from + leaving, to - arriving, to});
  return path;
}

Path joined(const std::vector<Path>& parts, bool closed) {
  Path path;
  const auto straight_to = [&](Vec2 to) {
    const Vec2 from = path.points.back();
    if (distance(from, to) < 1e-9) return;
    path.append({from, mix(from, to, 1.0 / 3.0), mix(from, to, 2.0 / 3.0), to});
  };
  for (const Path& next : parts) {
    if (path.points.empty()) path.points.push_back(next.points.front());
    straight_to(next.points.front());
    for (std::size_t i = 0; i < next.piece_count(); ++i) path.append(next.piece(i));
  }
  if (closed) {
    straight_to(path.points.front());
    path.points.back() = path.points.front();
  }
  path.closed = closed;
  return path;
}

Path part(const Path& path, double from_share, double to_share) {
  const Track track(path);
  return beside(
      track, [](double) { return 0.0; }, from_share, to_share, 12);
}

Track::Track(const Path& path) : points_(sample(path, 0.05)) {
  along_.push_back(0.0);
  for (std::size_t i = 1; i < points_.size(); ++i) {
    along_.push_back(along_.back() + distance(points_[i - 1], points_[i]));
  }
}

Vec2 Track::at(double share) const {
  const double s = std::clamp(share, 0.0, 1.0) * length();
  const auto next = std::upper_bound(along_.begin() + 1, along_.end() - 1, s);
  const auto i = static_cast<std::size_t>(next - along_.begin());
  return mix(points_[i - 1], points_[i], (s - along_[i - 1]) / (along_[i] - along_[i - 1]));
}

Vec2 Track::ahead(double share) const {
  const double step = 0.15 / length();
  return normalized(at(share + step) - at(share - step));
}

Vec2 Track::across(double share) const { return perpendicular(ahead(share)); }

Path beside(const Track& track,
            const std::function<double(double)>& offset,
            double from_share,
            double to_share,
            int knots) {
  std::vector<Vec2> through;
  for (int i = 0; i <= knots; ++i) {
    const double share = from_share + (to_share - from_share) * i / knots;
    through.push_back(track.beside(share, offset(share)));
  }
  return spline(through);
}

Vec2 polar(double length, double deg) {
  return Vec2{std::cos(radians(deg)), std::sin(radians(deg))} * length;
}

void Sketch::line(const Path& path) {
  add_visible(
      transformed(path, sketch_from_part_), pen_mm_, [&](double, Vec2 p) { return hidden(p); });
}

void Sketch::fine(const Path& path) {
  add_visible(transformed(path, sketch_from_part_), 0.86 * pen_mm_, [&](double, Vec2 p) {
    return hidden(p);
  });
}

void Sketch::line_unless(const Path& path, const std::function<bool(double)>& hidden_at) {
  add_visible(transformed(path, sketch_from_part_), pen_mm_, [&](double at, Vec2) {
    return hidden_at(at);
  });
}

void Sketch::dot(Vec2 at, double diameter_mm) {
  const Vec2 p = sketch_from_part_ * at;
  if (!hidden(p)) lines_.strokes.push_back({Path{{p}, false}, diameter_mm});
}

void Sketch::cover(const Path& outline, double gap_mm) {
  Cover cover{flatten(transformed(outline, sketch_from_part_), 0.01), {}, gap_mm};
  for (const Vec2 p : cover.ring) cover.reach.add(p);
  cover.reach = cover.reach.grown(gap_mm);
  covers_.push_back(std::move(cover));
}

void Sketch::only_inside(const Path& outline) {
  window_ = flatten(transformed(outline, sketch_from_part_), 0.01);
}

bool Sketch::hidden(Vec2 p) const {
  if (!window_.empty() && !inside(window_, p)) return true;
  for (const Cover& cover : covers_) {
    if (!cover.reach.contains(p)) continue;
    if (inside(cover.ring, p)) return true;
    if (cover.gap_mm <= 0.0) continue;
    for (std::size_t i = 0; i < cover.ring.size(); ++i) {
      const Vec2 next = cover.ring[(i + 1) % cover.ring.size()];
      if (distance_to_segment(p, cover.ring[i], next) < cover.gap_mm) return true;
    }
  }
  return false;
}

void Sketch::add_visible(const Path& path,
                         double width_mm,
                         const std::function<bool(double, Vec2)>& hidden_at) {
  std::vector<Path> runs(1);
  bool any_hidden = false;
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    const double bound = distance(c.p0, c.p1) + distance(c.p1, c.p2) + distance(c.p2, c.p3);
    const int steps = std::max(8, static_cast<int>(bound / 0.06));
    const auto keep = [&](double from, double to) {  // an exact part of the piece
      if (to - from < 1e-6) return;
      const Cubic until = split(c, to).before;
      runs.back().append(from > 0.0 ? split(until, from / to).after : until);
    };
    double run_from = 0.0;
    const auto seen_at = [&](double t) { return !hidden_at(static_cast<double>(i) + t, c.at(t)); };
    bool seen = seen_at(1e-4);
    for (int k = 1; k <= steps; ++k) {
      const double t = static_cast<double>(k) / steps;
      const double look = k == steps ? 1.0 - 1e-4 : t;
      const bool seen_now = seen_at(look);
      if (seen_now == seen) continue;
      double low = static_cast<double>(k - 1) / steps;
      double high = look;
      for (int halving = 0; halving < 24; ++halving) {
        const double middle = (low + high) / 2.0;
        (seen_at(middle) == seen ? low : high) = middle;
      }
      if (seen) {
        keep(run_from, low);
      }
      run_from = high;
      seen = seen_now;
      runs.emplace_back();
      any_hidden = true;
    }
    if (seen) {
      keep(run_from, 1.0);
    } else {
      any_hidden = true;
      if (!runs.back().points.empty()) runs.emplace_back();
    }
  }
  if (!any_hidden) {
    lines_.strokes.push_back({path, width_mm});
    return;
  }
  std::erase_if(runs, [](const Path& run) { return run.points.empty(); });
  if (path.closed && runs.size() > 1 && runs.back().points.back() == runs.front().points.front()) {
    // The drawn start of a closed outline is no end.
    runs.front() = joined({runs.back(), runs.front()});
    runs.pop_back();
  }
  for (const Path& run : runs) {
    if (run.length() >= kShortest_mm) lines_.strokes.push_back({run, width_mm});
  }
}

}  // namespace harbour
