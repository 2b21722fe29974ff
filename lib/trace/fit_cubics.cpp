#include "trace/fit_cubics.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>

namespace underdraw {
namespace {

struct PieceFit {
  Cubic cubic;
  double worst = 0.0;
};

// Direction of the line at index `at`, looking forward, from the points within `reach` on both
// sides: slope of a local parabola in arc length, or the chord if too few.
Vec2 direction_at(std::span<const Vec2> points, std::size_t at, double reach) {
  std::vector<double> s;
  std::vector<Vec2> p;
  const auto collect = [&](int step) {
    double walked = 0.0;
    auto i = static_cast<std::ptrdiff_t>(at);
    while (true) {
      const std::ptrdiff_t next = i + step;
      if (next < 0 || next >= static_cast<std::ptrdiff_t>(points.size())) break;
      walked +=
          distance(points[static_cast<std::size_t>(i)], points[static_cast<std::size_t>(next)]);
      if (walked > reach && s.size() >= 3) break;
      s.push_back(step * walked);
      p.push_back(points[static_cast<std::size_t>(next)] - points[at]);
      i = next;
      if (walked > reach) break;
    }
  };
  collect(-1);
  collect(1);
  // p = v s + a s^2, least squares.
  double s2 = 0, s3 = 0, s4 = 0;
  Vec2 ps, ps2;
  for (std::size_t i = 0; i < s.size(); ++i) {
    const double q = s[i] * s[i];
    s2 += q;
    s3 += q * s[i];
    s4 += q * q;
    ps += p[i] * s[i];
    ps2 += p[i] * q;
  }
  const double det = s2 * s4 - s3 * s3;
  if (s.size() >= 3 && det > 1e-9 * s2 * s4) return normalized((ps * s4 - ps2 * s3) / det);
  return normalized(ps);
}

// Least-squares cubic from the first to the last point. A direction that is not given is free.
PieceFit fit_piece(std::span<const Vec2> points,
                   std::optional<Vec2> start,
                   std::optional<Vec2> end) {
  const std::size_t n = points.size();
  const Vec2 p0 = points.front();
  const Vec2 p3 = points.back();
  const double chord = distance(p0, p3);
  std::vector<double> t(n, 0.0);
  for (std::size_t i = 1; i < n; ++i) t[i] = t[i - 1] + distance(points[i - 1], points[i]);
  const double total = std::max(t.back(), 1e-12);
  for (double& v : t) v /= total;

  PieceFit best;
  best.worst = std::numeric_limits<double>::infinity();
  Cubic c{p0, mix(p0, p3, 1.0 / 3.0), mix(p0, p3, 2.0 / 3.0), p3};
  if (n == 2) {
    if (start) c.p1 = p0 + *start * (chord / 3.0);
    if (end) c.p2 = p3 - *end * (chord / 3.0);
    return {c, 0.0};
  }
  for (int round = 0; round < 5; ++round) {
    // Normal equations for p1 = p0 + u, p2 = p3 - v.
    double bb = 0, bd = 0, dd = 0;
    Vec2 rb, rd;
    for (std::size_t i = 0; i < n; ++i) {
      const double w = 1.0 - t[i];
      const double b = 3.0 * w * w * t[i];
      const double d = 3.0 * w * t[i] * t[i];
      const Vec2 rest = points[i] - p0 * (w * w * w + b) - p3 * (d + t[i] * t[i] * t[i]);
      bb += b * b;
      bd += b * d;
      dd += d * d;
      rb += rest * b;
      rd += rest * d;
    }
    const double det = bb * dd - bd * bd;
    Vec2 u = start.value_or(normalized(p3 - p0)) * (total / 3.0);
    Vec2 v = end.value_or(normalized(p3 - p0)) * (total / 3.0);
    const double least = total / 30.0;
    if (start && end) {
      // Two lengths: u = a start, v = g end.
      const double cross_term = -bd * dot(*start, *end);
      const double ra = dot(rb, *start);
      const double rg = -dot(rd, *end);
      const double det2 = bb * dd - cross_term * cross_term;
      double a = total / 3.0;
      double g = a;
      if (det2 > 1e-9 * bb * dd) {
        a = (ra * dd - cross_term * rg) / det2;
        g = (rg * bb - cross_term * ra) / det2;
      }
      u = *start * std::clamp(a, least, total);
      v = *end * std::clamp(g, least, total);
    } else if (det > 1e-9 * bb * dd) {
      if (start) {  // eliminate v
        const double a = dot(rb - rd * (bd / dd), *start) / (bb - bd * bd / dd);
        u = *start * std::clamp(a, least, total);
        v = -(rd - u * bd) / dd;
      } else if (end) {  // eliminate u
        const double g = -dot(rd - rb * (bd / bb), *end) / (dd - bd * bd / bb);
        v = *end * std::clamp(g, least, total);
        u = (rb + v * bd) / bb;
      } else {
        u = (rb * dd - rd * bd) / det;
        v = -(rd * bb - rb * bd) / det;
      }
    }
    c.p1 = p0 + u;
    c.p2 = p3 - v;

    double worst = 0.0;
    for (std::size_t i = 1; i + 1 < n; ++i) {
      const Vec2 off = c.at(t[i]) - points[i];
      worst = std::max(worst, dot(off, off));
    }
    worst = std::sqrt(worst);
    if (worst < best.worst) best = {c, worst};
    for (std::size_t i = 1; i + 1 < n; ++i) {
      const Vec2 off = c.at(t[i]) - points[i];
      const Vec2 d1 = c.derivative(t[i]);
      const double slope = dot(d1, d1) + dot(off, c.second_derivative(t[i]));
      if (slope > 1e-12) t[i] = std::clamp(t[i] - dot(off, d1) / slope, 0.0, 1.0);
    }
  }
  return best;
}

// How far single points lie off the line that their neighbours make: fourth differences at a lag
// beyond which neighbours err independently. They cancel any cubic, so bends do not count.
double scatter(std::span<const Vec2> points, double lag_length) {
  if (points.size() < 2) return 0.0;
  const double step = polyline_length(points) / static_cast<double>(points.size() - 1);
  const auto lag = static_cast<std::size_t>(std::max(1.0, std::round(lag_length / step)));
  if (points.size() < 6 * lag) return std::numeric_limits<double>::infinity();  // cannot tell
  double squares = 0.0;
  std::size_t count = 0;
  for (std::size_t i = 2 * lag; i + 2 * lag < points.size(); ++i, ++count) {
    const Vec2 d = points[i - 2 * lag] - 4.0 * points[i - lag] + 6.0 * points[i] -
                   4.0 * points[i + lag] + points[i + 2 * lag];
    squares += dot(d, d) / 70.0;  // 1 + 16 + 36 + 16 + 1
  }
  return std::sqrt(squares / static_cast<double>(count));
}

// Pieces from one corner to the next; `start` and `end` are set where the line goes on smoothly.
void fit_run(std::span<const Vec2> points,
             std::optional<Vec2> start,
             std::optional<Vec2> end,
             const FitOptions& options,
             Path& out) {
  const double tolerance = std::clamp(
      6.0 * scatter(points, 0.5 * options.smooth_over), 0.3 * options.tolerance, options.tolerance);
  std::size_t from = 0;
  const std::size_t last = points.size() - 1;
  while (from < last) {
    const auto piece = [&](std::size_t to) {
      const std::optional<Vec2> leave =
          to == last ? end : std::optional(direction_at(points, to, options.smooth_over));
      return fit_piece(points.subspan(from, to - from + 1), start, leave);
    };
    // The longest piece within tolerance: gallop out, then halve.
    std::size_t good = from + 1;
    PieceFit fit = piece(good);
    std::size_t bad = last + 1;
    for (std::size_t step = 8; good < last; step *= 2) {
      const std::size_t to = std::min(from + step, last);
      if (to <= good) continue;
      const PieceFit longer = piece(to);
      if (longer.worst > tolerance) {
        bad = to;
        break;
      }
      good = to;
      fit = longer;
    }
    while (bad - good > 1 && bad <= last) {
      const std::size_t to = good + (bad - good) / 2;
      const PieceFit longer = piece(to);
      if (longer.worst > tolerance) {
        bad = to;
      } else {
        good = to;
        fit = longer;
      }
    }
    out.append(fit.cubic);
    from = good;
    start = normalized(fit.cubic.p3 - fit.cubic.p2);
  }
}

}  // namespace

Path fit_cubics(const std::vector<Vec2>& points,
                const std::vector<std::size_t>& corners,
                bool closed,
                const FitOptions& options) {
  Path out;
  out.closed = closed;
  if (points.size() < 2) {
    out.points = points;
    out.closed = false;
    return out;
  }
  std::vector<Vec2> line = points;
  std::vector<std::size_t> stops = corners;
  std::optional<Vec2> seam;
  if (closed) {
    if (!stops.empty() && stops.front() != 0) {  // begin at a corner
      const std::size_t first = stops.front();
      std::rotate(line.begin(), line.begin() + static_cast<std::ptrdiff_t>(first), line.end());
      for (std::size_t& s : stops) s -= first;
    }
    if (stops.empty()) {
      std::vector<Vec2> around(line.end() - static_cast<std::ptrdiff_t>(line.size() / 2),
                               line.end());
      const std::size_t at = around.size();
      around.insert(around.end(), line.begin(), line.end());
      seam = direction_at(around, at, options.smooth_over);
    }
    line.push_back(line.front());
  }
  if (stops.empty() || stops.front() != 0) stops.insert(stops.begin(), 0);
  if (stops.back() != line.size() - 1) stops.push_back(line.size() - 1);
  for (std::size_t i = 0; i + 1 < stops.size(); ++i) {
    if (stops[i + 1] == stops[i]) continue;
    fit_run(
        std::span(line).subspan(stops[i], stops[i + 1] - stops[i] + 1), seam, seam, options, out);
  }
  if (closed) out.points.back() = out.points.front();
  return out;
}

}  // namespace underdraw
