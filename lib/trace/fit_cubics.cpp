#include "trace/fit_cubics.h"

#include <algorithm>
#include <cmath>
#include <span>

#include <Eigen/Cholesky>

#include "trace/settle_knots.h"

namespace underdraw {
namespace {

// What a fit is judged by: distances averaged over a short stretch, so that scatter does not count.
struct Judge {
  double limit = 0.0;      // largest averaged distance
  double even_over = 0.5;  // length of the stretch
  double slack = 1.2;      // limits that a settled piece may be off; more where points scatter
};

// Averages a value over a stretch of line that slides along it; returns the largest magnitude.
template <typename Off>
double worst_evened(std::span<const FitPoint> points,
                    std::span<const double> place,
                    double even_over,
                    Off off) {
  double worst = 0.0;
  double sum = 0.0;
  double total = 0.0;
  double readings = 0.0;
  std::size_t from = 0;
  for (std::size_t to = 0; to < points.size(); ++to) {
    sum += points[to].weight * off(to);
    total += points[to].weight;
    readings += points[to].readings;
    while (place[to] - place[from] > even_over) {
      sum -= points[from].weight * off(from);
      total -= points[from].weight;
      readings -= points[from].readings;
      ++from;
    }
    // A stretch with little measured in it says little.
    worst = std::max(worst, std::abs(sum) / std::max({total, 0.5 * readings, 1e-9}));
  }
  return worst;
}

constexpr int kMostRounds = 12;

struct FreePiece {
  Cubic cubic;
  double worst = 0.0;  // as worst_evened has it
};

// Least-squares cubic with all four control points free. A wide arc needs many rounds until its
// parameters are right; they end as soon as it is within the limit, or will not come there.
FreePiece fit_piece(std::span<const FitPoint> points,
                    std::span<const double> place,
                    const Judge& judge) {
  const std::size_t n = points.size();
  const double length = std::max(place.back() - place.front(), 1e-12);
  std::vector<double> t(n);
  for (std::size_t i = 0; i < n; ++i) t[i] = (place[i] - place.front()) / length;
  const Vec2 p0 = points.front().at;
  const Vec2 p3 = points.back().at;
  FreePiece out{{p0, mix(p0, p3, 1.0 / 3.0), mix(p0, p3, 2.0 / 3.0), p3}, 0.0};
  if (n < 5) return out;
  std::vector<double> off(n);
  for (int round = 0; round < kMostRounds; ++round) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Matrix<double, 4, 2> right = Eigen::Matrix<double, 4, 2>::Zero();
    for (std::size_t i = 0; i < n; ++i) {
      const double w = 1.0 - t[i];
      const Eigen::Vector4d b(
          w * w * w, 3.0 * w * w * t[i], 3.0 * w * t[i] * t[i], t[i] * t[i] * t[i]);
      const double weight = points[i].weight + 1e-4;
      normal.noalias() += weight * b * b.transpose();
      right.col(0) += (weight * points[i].at.x) * b;
      right.col(1) += (weight * points[i].at.y) * b;
    }
    const Eigen::Matrix<double, 4, 2> p = normal.ldlt().solve(right);
    out.cubic = {{p(0, 0), p(0, 1)}, {p(1, 0), p(1, 1)}, {p(2, 0), p(2, 1)}, {p(3, 0), p(3, 1)}};
    for (std::size_t i = 0; i < n; ++i) {
      const Vec2 apart = out.cubic.at(t[i]) - points[i].at;
      const Vec2 d1 = out.cubic.derivative(t[i]);
      off[i] = cross(normalized(d1), apart);
      const double slope = dot(d1, d1) + dot(apart, out.cubic.second_derivative(t[i]));
      if (slope > 1e-12) t[i] = std::clamp(t[i] - dot(apart, d1) / slope, -0.05, 1.05);
    }
    if (round < 2) continue;
    const double before = round == 2 ? 1e9 : out.worst;
    out.worst = worst_evened(points, place, judge.even_over, [&](std::size_t i) { return off[i]; });
    if (out.worst <= judge.limit || out.worst > 5.0 * judge.limit) break;
    if (out.worst > 0.97 * before) break;
  }
  return out;
}

// How far averages over neighbouring stretches scatter about the line that they make: fourth
// differences cancel any cubic, so bends do not count.
double scatter(std::span<const FitPoint> points, double length, double even_over) {
  if (!(length > 0.0)) return -1.0;
  const double step = length / static_cast<double>(points.size() - 1);
  const auto lag = static_cast<std::size_t>(std::max(1.0, std::round(even_over / step)));
  if (points.size() < 7 * lag) return -1.0;  // cannot tell
  std::vector<Vec2> sums = {{}};
  for (const FitPoint& p : points) sums.push_back(sums.back() + p.at);
  const auto mean = [&](std::size_t i) { return (sums[i + lag] - sums[i]) / double(lag); };
  double squares = 0.0;
  std::size_t count = 0;
  for (std::size_t i = 0; i + 5 * lag < points.size(); ++i, ++count) {
    const Vec2 d = mean(i) - 4.0 * mean(i + lag) + 6.0 * mean(i + 2 * lag) -
                   4.0 * mean(i + 3 * lag) + mean(i + 4 * lag);
    squares += dot(d, d) / 70.0;  // 1 + 16 + 36 + 16 + 1
  }
  return std::sqrt(squares / static_cast<double>(count));
}

// Where pieces end, as indices, when each is as long as the limit allows.
std::vector<std::size_t> longest_pieces(std::span<const FitPoint> points,
                                        std::span<const double> place,
                                        const Judge& judge) {
  std::vector<std::size_t> ends = {0};
  const std::size_t last = points.size() - 1;
  const auto good_until = [&](std::size_t from, std::size_t to) {
    const std::size_t n = to - from + 1;
    return fit_piece(points.subspan(from, n), place.subspan(from, n), judge).worst <= judge.limit;
  };
  while (ends.back() < last) {
    const std::size_t from = ends.back();
    std::size_t good = std::min(from + 4, last);
    std::size_t bad = last + 1;
    for (std::size_t step = 16; good < last; step *= 2) {  // gallop out, then halve
      const std::size_t to = std::min(from + step, last);
      if (to <= good) continue;
      if (!good_until(from, to)) {
        bad = to;
        break;
      }
      good = to;
    }
    while (bad <= last && bad - good > 1 + (good - from) / 24) {
      const std::size_t to = good + (bad - good) / 2;
      (good_until(from, to) ? good : bad) = to;
    }
    ends.push_back(good);
  }
  return ends;
}

// The same number of pieces, their ends half way between those found from the front and those
// found from the back: neither the first nor the last is left with a scrap.
std::vector<std::size_t> balanced_pieces(std::span<const FitPoint> points,
                                         std::span<const double> place,
                                         const Judge& judge) {
  std::vector<std::size_t> front = longest_pieces(points, place, judge);
  if (front.size() < 3) return front;
  std::vector<FitPoint> turned(points.rbegin(), points.rend());
  std::vector<double> back_place(place.size());
  for (std::size_t i = 0; i < place.size(); ++i) {
    back_place[i] = place.back() - place[place.size() - 1 - i];
  }
  std::vector<std::size_t> back = longest_pieces(turned, back_place, judge);
  std::reverse(back.begin(), back.end());
  for (std::size_t& end : back) end = points.size() - 1 - end;
  if (back.size() != front.size()) return back.size() < front.size() ? back : front;
  for (std::size_t i = 1; i + 1 < front.size(); ++i) {
    front[i] = (front[i] + back[i]) / 2;
  }
  return front;
}

double angle_of(Vec2 v) { return std::atan2(v.y, v.x); }

// How the end of a line joins its start.
enum class Seam { none, smooth, corner };

// The line with its points, and how the pieces are judged.
class StrokeFit {
 public:
  StrokeFit(std::vector<FitPoint> points, Seam seam, const FitOptions& options)
      : points_(std::move(points)), seam_(seam), options_(options) {
    line_.closed = seam != Seam::none;
    place_.assign(points_.size(), 0.0);
    for (std::size_t i = 1; i < points_.size(); ++i) {
      place_[i] = place_[i - 1] + distance(points_[i - 1].at, points_[i].at);
    }
    const double noise = scatter(points_, place_.back(), options.even_over);
    judge_.even_over = options.even_over;
    if (3.0 * noise > options.tolerance) judge_.slack = 1.5;
    judge_.limit = noise < 0.0
                       ? options.tolerance
                       : std::clamp(3.0 * noise, options.tolerance, 1.4 * options.tolerance);
  }

  // `stops`: indices of corners and ends; of a closed line the first and the last are its seam.
  Path fit(const std::vector<std::size_t>& stops) {
    begin(stops);
    for (int attempt = 0; attempt < 4; ++attempt) {
      settle_knots(
          line_, points_, {.rounds = options_.rounds, .outlier = 2.0 * options_.tolerance});
      if (!split_bad_pieces()) break;
    }
    Path out;
    out.closed = line_.closed;
    for (std::size_t i = 0; i < line_.piece_count(); ++i) out.append(line_.piece(i));
    if (out.closed) out.points.back() = out.points.front();
    return out;
  }

 private:
  bool corner_at_start() const { return seam_ == Seam::corner; }

  // First knots: stops are corners, between them pieces as long as the limit allows.
  void begin(const std::vector<std::size_t>& stops) {
    std::vector<std::size_t> ends = {stops.front()};
    std::vector<bool> corner = {corner_at_start()};
    for (std::size_t s = 0; s + 1 < stops.size(); ++s) {
      const std::size_t from = stops[s];
      const std::size_t n = stops[s + 1] - from + 1;
      const std::span points = std::span(points_).subspan(from, n);
      const std::span place = std::span(place_).subspan(from, n);
      std::vector<std::size_t> own = balanced_pieces(points, place, judge_);
      if (line_.closed && stops.size() == 2 && own.size() == 2) own = {0, n / 2, n - 1};
      for (std::size_t k = 1; k < own.size(); ++k) {
        ends.push_back(from + own[k]);
        corner.push_back(k + 1 == own.size());
      }
    }
    for (std::size_t k = 0; k < ends.size(); ++k) {
      Knot knot;
      knot.at = points_[ends[k]].at;
      knot.corner = corner[k];
      line_.knots.push_back(knot);
    }
    for (std::size_t k = 0; k + 1 < ends.size(); ++k) {
      set_piece(line_.knots[k], line_.knots[k + 1], k, ends[k], ends[k + 1]);
    }
    if (line_.closed) {  // the last knot is the first once more
      line_.knots.front().angle_in = line_.knots.back().angle_in;
      line_.knots.front().reach_in = line_.knots.back().reach_in;
      line_.knots.front().corner = corner_at_start();
      line_.knots.pop_back();
    } else {
      line_.knots.front().angle_in = line_.knots.front().angle_out;
      line_.knots.back().angle_out = line_.knots.back().angle_in;
      line_.knots.front().corner = line_.knots.back().corner = false;
    }
    for (std::size_t k = 0; k < stops.size(); ++k) {
      const bool seam = line_.closed && (k == 0 || k + 1 == stops.size());
      points_[stops[k]].holds_knot = !seam || corner_at_start();
    }
    for (Knot& knot : line_.knots) even_directions(knot);
  }

  void set_piece(Knot& a, Knot& b, std::size_t piece, std::size_t from, std::size_t to) {
    const std::size_t n = to - from + 1;
    const Cubic c =
        fit_piece(std::span(points_).subspan(from, n), std::span(place_).subspan(from, n), judge_)
            .cubic;
    const double least = distance(c.p0, c.p3) / 20.0;
    a.angle_out = angle_of(c.p1 - c.p0);
    a.reach_out = std::max(distance(c.p0, c.p1), least);
    b.angle_in = angle_of(c.p3 - c.p2);
    b.reach_in = std::max(distance(c.p2, c.p3), least);
    const double length = std::max(place_[to] - place_[from], 1e-12);
    for (std::size_t i = from; i <= to; ++i) {
      points_[i].piece = piece;
      points_[i].t = (place_[i] - place_[from]) / length;
    }
  }

  static void even_directions(Knot& knot) {
    if (knot.corner) return;
    const Vec2 sum = Vec2{std::cos(knot.angle_in), std::sin(knot.angle_in)} +
                     Vec2{std::cos(knot.angle_out), std::sin(knot.angle_out)};
    knot.angle_in = knot.angle_out = angle_of(sum);
  }

  // Pieces that are still off the points get a knot more, half way; false: none was.
  bool split_bad_pieces() {
    std::vector<double> off(points_.size());
    std::vector<std::pair<std::size_t, std::size_t>> range(line_.piece_count(),
                                                           {points_.size(), 0});
    for (std::size_t i = 0; i < points_.size(); ++i) {
      const FitPoint& p = points_[i];
      const Cubic c = line_.piece(p.piece);
      off[i] = cross(normalized(c.derivative(p.t)), c.at(p.t) - p.at);
      if (p.piece == 0 && line_.closed && i > points_.size() / 2 && line_.piece_count() > 1)
        continue;
      range[p.piece].first = std::min(range[p.piece].first, i);
      range[p.piece].second = std::max(range[p.piece].second, i);
    }
    std::vector<Knot> knots;
    std::vector<std::size_t> new_piece;
    std::vector<bool> halved;
    for (std::size_t k = 0; k < line_.piece_count(); ++k) {
      knots.push_back(line_.knots[k]);
      new_piece.push_back(knots.size() - 1);
      const auto [from, to] = range[k];
      const bool enough = from < to && to - from >= 8;
      bool bad = false;
      if (enough) {
        const std::size_t n = to - from + 1;
        bad = worst_evened(std::span(points_).subspan(from, n),
                           std::span(place_).subspan(from, n),
                           judge_.even_over,
                           [&](std::size_t i) { return off[from + i]; }) >
              judge_.slack * judge_.limit;
      }
      halved.push_back(bad);
      if (!bad) continue;
      const CubicPair halves = split(line_.piece(k), 0.5);
      knots.back().reach_out = distance(halves.before.p0, halves.before.p1);
      Knot middle;
      middle.at = halves.before.p3;
      middle.angle_in = middle.angle_out = angle_of(halves.after.p1 - halves.before.p2);
      middle.reach_in = distance(halves.before.p2, halves.before.p3);
      middle.reach_out = distance(halves.after.p0, halves.after.p1);
      knots.push_back(middle);
      // The knot after it comes nearer too.
      line_.knots[(k + 1) % line_.knots.size()].reach_in =
          distance(halves.after.p2, halves.after.p3);
      if (k + 1 == line_.piece_count() && line_.closed) {
        knots.front().reach_in = distance(halves.after.p2, halves.after.p3);
      }
    }
    if (!line_.closed) knots.push_back(line_.knots.back());
    if (knots.size() == line_.knots.size()) return false;
    for (FitPoint& p : points_) {
      const bool was_halved = halved[p.piece];
      p.piece = new_piece[p.piece];
      if (!was_halved) continue;
      p.t *= 2.0;
      if (p.t > 1.0) {
        p.t -= 1.0;
        ++p.piece;
      }
    }
    line_.knots = std::move(knots);
    return true;
  }

  std::vector<FitPoint> points_;
  std::vector<double> place_;  // length of line up to each point
  Seam seam_;
  FitOptions options_;
  Judge judge_;
  KnotLine line_;
};

// Readings a pixel apart say hardly more than their means over short stretches, and every round of
// the fit goes through all of them. Corners and ends stay as they are.
void gather(std::vector<FitPoint>& points, std::vector<std::size_t>& stops, double reach) {
  std::vector<FitPoint> out;
  std::vector<std::size_t> kept;
  const auto add_mean = [&](std::size_t from, std::size_t to) {
    FitPoint mean;
    mean.weight = 0.0;
    double total = 0.0;
    for (std::size_t i = from; i < to; ++i) {
      const double w = points[i].weight + 1e-6;
      mean.at += points[i].at * w;
      mean.weight += points[i].weight;
      total += w;
    }
    mean.at = mean.at / total;
    mean.readings = static_cast<double>(to - from);
    out.push_back(mean);
  };
  for (std::size_t s = 0; s < stops.size(); ++s) {
    kept.push_back(out.size());
    out.push_back(points[stops[s]]);
    if (s + 1 == stops.size()) break;
    std::size_t from = stops[s] + 1;
    double so_far = 0.0;
    for (std::size_t i = from + 1; i <= stops[s + 1]; ++i) {
      so_far += distance(points[i - 1].at, points[i].at);
      if (i < stops[s + 1] && so_far <= reach) continue;
      add_mean(from, i);
      from = i;
      so_far = 0.0;
    }
  }
  points = std::move(out);
  stops = std::move(kept);
}

}  // namespace

Path fit_cubics(const std::vector<Vec2>& points,
                const std::vector<std::size_t>& corners,
                bool closed,
                const FitOptions& options,
                const std::vector<double>& weights) {
  Path out;
  if (points.size() < 2) {
    out.points = points;
    return out;
  }
  std::vector<FitPoint> line;
  for (std::size_t i = 0; i < points.size(); ++i) {
    line.push_back({points[i], weights.empty() ? 1.0 : weights[i]});
  }
  std::vector<std::size_t> stops = corners;
  const bool corner_first = closed && !stops.empty();
  if (closed) {
    if (corner_first) {  // begin at a corner
      const std::size_t first = stops.front();
      std::rotate(line.begin(), line.begin() + static_cast<std::ptrdiff_t>(first), line.end());
      for (std::size_t& s : stops) s -= first;
    }
    line.push_back(line.front());
  }
  if (stops.empty() || stops.front() != 0) stops.insert(stops.begin(), 0);
  if (stops.back() != line.size() - 1) stops.push_back(line.size() - 1);
  const Seam seam = !closed ? Seam::none : corner_first ? Seam::corner : Seam::smooth;
  if (options.gather > 0.0) gather(line, stops, options.gather);
  return StrokeFit(std::move(line), seam, options).fit(stops);
}

}  // namespace underdraw
