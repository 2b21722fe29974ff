#include "accuracy/fewest_cubics.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include "accuracy/sampled_lines.h"

namespace underdraw::test {
namespace {

constexpr std::size_t kMostPoints = 60;  // a try looks at; a success is checked against all
constexpr int kParameterRounds = 4;
constexpr int kRounds = 40;

struct Follower {
  Cubic cubic;
  double worst = 0.0;
};

// Nearest place on the cubic near parameter t.
double foot(const Cubic& c, Vec2 p, double t) {
  for (int i = 0; i < 2; ++i) {
    const Vec2 off = c.at(t) - p;
    const Vec2 d = c.derivative(t);
    const double slope = dot(d, d) + dot(off, c.second_derivative(t));
    if (slope <= 0.0) break;
    t = std::clamp(t - dot(off, d) / slope, 0.0, 1.0);
  }
  return t;
}

// Control points by least squares, ends fixed.
std::optional<Cubic> least_squares(std::span<const Vec2> points,
                                   const std::vector<double>& at,
                                   const std::vector<double>& weight) {
  const Vec2 first = points.front();
  const Vec2 last = points.back();
  double a11 = 0.0, a12 = 0.0, a22 = 0.0;
  Vec2 r1, r2;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double t = at[i];
    const double u = 1.0 - t;
    const double b1 = 3.0 * u * u * t;
    const double b2 = 3.0 * u * t * t;
    const Vec2 rest = points[i] - first * (u * u * u + b1) - last * (t * t * t + b2);
    a11 += weight[i] * b1 * b1;
    a12 += weight[i] * b1 * b2;
    a22 += weight[i] * b2 * b2;
    r1 += rest * (weight[i] * b1);
    r2 += rest * (weight[i] * b2);
  }
  const double det = a11 * a22 - a12 * a12;
  if (det <= 1e-12 * a11 * a22) return {};
  return Cubic{
      first, first + (r1 * a22 - r2 * a12) / det, last + (r2 * a11 - r1 * a12) / det, last};
}

double worst_of(const Cubic& cubic, std::span<const Vec2> points) {
  double worst = 0.0;
  double t = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    // Marching along keeps the foot on the right stretch of a curve that comes back to itself.
    double best = distance(cubic.at(t), points[i]);
    for (double next = t + 0.005; next <= 1.0; next += 0.005) {
      const double off = distance(cubic.at(next), points[i]);
      if (off > best) break;
      best = off;
      t = next;
    }
    t = foot(cubic, points[i], t);
    worst = std::max(worst, distance(cubic.at(t), points[i]));
  }
  return worst;
}

// One step towards the least sum of squared distances along the normal, which settles far faster
// than least squares at fixed parameters.
Cubic settled(const Cubic& c,
              std::span<const Vec2> points,
              const std::vector<double>& at,
              const std::vector<double>& weight) {
  // Unknowns: moves of p1 and p2. Residual: normal . (C(t) + b1 m1 + b2 m2 - p).
  std::array<std::array<double, 5>, 4> m{};
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double t = at[i];
    const double u = 1.0 - t;
    const double b1 = 3.0 * u * u * t;
    const double b2 = 3.0 * u * t * t;
    const Vec2 n = perpendicular(normalized(c.derivative(t)));
    const double off = dot(n, c.at(t) - points[i]);
    const std::array<double, 4> row = {b1 * n.x, b1 * n.y, b2 * n.x, b2 * n.y};
    for (std::size_t r = 0; r < 4; ++r) {
      for (std::size_t k = 0; k < 4; ++k) m[r][k] += weight[i] * row[r] * row[k];
      m[r][4] -= weight[i] * row[r] * off;
    }
  }
  for (std::size_t r = 0; r < 4; ++r) m[r][r] += 1e-6 * (m[0][0] + m[1][1] + m[2][2] + m[3][3]);
  // The matrix is positive definite, so elimination needs no pivots.
  for (std::size_t r = 0; r < 4; ++r) {
    for (std::size_t below = r + 1; below < 4; ++below) {
      const double k = m[below][r] / m[r][r];
      for (std::size_t column = r; column < 5; ++column) m[below][column] -= k * m[r][column];
    }
  }
  std::array<double, 4> move{};
  for (std::size_t r = 4; r-- > 0;) {
    double rest = m[r][4];
    for (std::size_t k = r + 1; k < 4; ++k) rest -= m[r][k] * move[k];
    move[r] = rest / m[r][r];
  }
  return {c.p0, c.p1 + Vec2{move[0], move[1]}, c.p2 + Vec2{move[2], move[3]}, c.p3};
}

bool one_cubic_follows(std::span<const Vec2> all, double tolerance) {
  if (all.size() <= 4) return true;
  std::vector<Vec2> points;
  const std::size_t n = std::min(all.size(), kMostPoints);
  for (std::size_t i = 0; i < n; ++i) points.push_back(all[i * (all.size() - 1) / (n - 1)]);
  std::vector<double> at(n, 0.0);
  for (std::size_t i = 1; i < n; ++i) at[i] = at[i - 1] + distance(points[i - 1], points[i]);
  const double whole = at.back();
  if (whole <= 0.0) return true;
  for (double& t : at) t /= whole;
  std::vector<double> weight(n, 1.0);
  std::optional<Cubic> cubic = least_squares(points, at, weight);
  if (!cubic) return false;
  double previous = whole;
  for (int round = 0; round < kRounds; ++round) {
    double worst = 0.0;
    std::vector<double> off(n, 0.0);
    for (std::size_t i = 0; i < n; ++i) {
      at[i] = foot(*cubic, points[i], at[i]);
      off[i] = distance(cubic->at(at[i]), points[i]);
      worst = std::max(worst, off[i]);
    }
    if (worst <= tolerance && worst_of(*cubic, all) <= tolerance) return true;
    if (round < kParameterRounds) {
      cubic = least_squares(points, at, weight);
      if (!cubic) return false;
      continue;
    }
    const bool settles = worst < 0.98 * previous;
    previous = worst;
    if (!settles) {
      if (worst > 2.0 * tolerance) return false;
      // From the least mean square towards the least maximum: what is far off counts more (C. L.
      // Lawson, 1961).
      double sum = 0.0;
      for (std::size_t i = 0; i < n; ++i) {
        weight[i] *= 0.05 + off[i] / worst;
        sum += weight[i];
      }
      for (double& w : weight) w = std::max(w * static_cast<double>(n) / sum, 1e-6);
    }
    cubic = settled(*cubic, points, at, weight);
  }
  return false;
}

std::size_t pieces_along(std::span<const Vec2> points, double tolerance) {
  std::size_t pieces = 0;
  std::size_t start = 0;
  std::size_t guess = 64;
  while (start + 1 < points.size()) {
    const std::size_t most = points.size() - 1 - start;
    const auto fits = [&](std::size_t n) {
      return one_cubic_follows(points.subspan(start, n + 1), tolerance);
    };
    // `good` fits, `bad` does not: doubled or halved from the last piece's length, then closed in.
    std::size_t good = 0;
    std::size_t bad = most + 1;
    std::size_t next = std::min(guess, most);
    while (good == 0 || (bad > most && good < most)) {
      if (next <= 3 || fits(next)) {
        good = next;
        if (bad <= most) break;
        next = std::min(2 * next, most);
      } else {
        bad = next;
        if (good > 0) break;
        next /= 2;
      }
    }
    while (bad - good > 1) {
      const std::size_t middle = (good + bad) / 2;
      (fits(middle) ? good : bad) = middle;
    }
    ++pieces;
    start += good;
    guess = std::max<std::size_t>(good, 8);
  }
  return pieces;
}

}  // namespace

std::size_t fewest_cubics(const Path& path, double tolerance) {
  const Stroke stroke{path};
  if (is_dot(stroke)) return 0;
  const std::vector<SampledLine> lines = sampled_lines({{stroke}, {}});
  const std::vector<Vec2>& points = lines.front().points;
  std::vector<std::size_t> breaks;
  for (const double s : corners_of(lines.front())) {
    const auto i = static_cast<std::size_t>(std::lround(s / lines.front().step));
    if (i > 0 && i + 1 < points.size()) breaks.push_back(i);
  }
  breaks.push_back(points.size() - 1);
  std::size_t pieces = 0;
  std::size_t from = 0;
  for (const std::size_t to : breaks) {
    pieces += pieces_along(std::span(points).subspan(from, to - from + 1), tolerance);
    from = to;
  }
  return pieces;
}

}  // namespace underdraw::test
