#include "photo/find_saddle.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Dense>

namespace underdraw {
namespace {

constexpr std::size_t kMostPixels = 1600;
constexpr double kLongEdgePx = 40.0;     // along the edges, when the place is known about
constexpr double kWidePx = 9.0;          // beside them
constexpr double kLeastContrast = 14.0;  // grey levels
constexpr double kMostSd = 0.25;         // px
constexpr double kLooseMiss = 0.15;      // over contrast: larger misses count less
constexpr double kMostMisfit = 0.16;     // over contrast, of what counts
constexpr double kLeastWeight = 0.7;     // share of the window that must count
constexpr double kMostTurn = 0.25;       // radians of an edge from where it should run
constexpr double kSharpest = -1.5;       // log px
constexpr double kMostBlurred = 3.0;
constexpr double kMostBlurMm = 1.6;  // over this the marks beside flow in

struct Sample {
  Vec2 at;
  double grey;
};

constexpr int kUnknowns = 9;  // x, y, mean, slope x, slope y, amplitude, log blur, two turns
using Vector = Eigen::Matrix<double, kUnknowns, 1>;
using Matrix = Eigen::Matrix<double, kUnknowns, kUnknowns>;

struct Edges {
  Vec2 normal_right, normal_up;  // unit, of the edge that runs up and of the one that runs across
};

// What the model says at a place, and how it changes with each unknown.
double modelled(const Vector& p, const Edges& edges, Vec2 guess, Vec2 at, Vector& slopes) {
  const auto turned = [](Vec2 v, double by) {
    return Vec2{v.x * std::cos(by) - v.y * std::sin(by), v.x * std::sin(by) + v.y * std::cos(by)};
  };
  const Vec2 n1 = turned(edges.normal_right, p[7]);
  const Vec2 n2 = turned(edges.normal_up, p[8]);
  const double blur = std::exp(p[6]);
  const Vec2 d = at - Vec2{p[0], p[1]};
  const double t1 = dot(n1, d) / blur;
  const double t2 = dot(n2, d) / blur;
  const double e1 = std::erf(t1 / std::numbers::sqrt2);
  const double e2 = std::erf(t2 / std::numbers::sqrt2);
  const double top = std::sqrt(2.0 / std::numbers::pi);
  const double s1 = p[5] * top * std::exp(-0.5 * t1 * t1) * e2;  // per t1
  const double s2 = p[5] * top * std::exp(-0.5 * t2 * t2) * e1;
  const Vec2 q = at - guess;
  slopes << -(s1 * n1.x + s2 * n2.x) / blur, -(s1 * n1.y + s2 * n2.y) / blur, 1.0, q.x, q.y,
      e1 * e2, -(s1 * t1 + s2 * t2), s1 * dot(perpendicular(n1), d) / blur,
      s2 * dot(perpendicular(n2), d) / blur;
  return p[2] + p[3] * q.x + p[4] * q.y + p[5] * e1 * e2;
}

// Pixels along both edges about a place.
struct Window {
  std::vector<Sample> samples;
  int step = 1;  // from pixel to pixel
};
Window samples_about(
    const cv::Mat& grey, const SaddleGuess& guess, Vec2 middle, double edge_mm, double beside_mm) {
  const Affine px_from_mm{guess.px_per_right.x,
                          guess.px_per_up.x,
                          middle.x,
                          guess.px_per_right.y,
                          guess.px_per_up.y,
                          middle.y};
  const Affine mm_from_px = px_from_mm.inverse();
  Box box;
  for (const double x : {-edge_mm, edge_mm}) {
    for (const double y : {-edge_mm, edge_mm}) box.add(px_from_mm * Vec2{x, y});
  }
  const auto wide = [&](Vec2 mm) {
    const double x = std::abs(mm.x);
    const double y = std::abs(mm.y);
    return std::max(x, y) <= edge_mm && std::min(x, y) <= beside_mm;
  };
  const double area = box.width() * box.height() * std::min(1.0, 2.0 * beside_mm / edge_mm);
  const int step = std::max(1, static_cast<int>(std::floor(std::sqrt(area / kMostPixels))));
  std::vector<Sample> samples;
  for (int y = std::max(0, static_cast<int>(box.min.y));
       y < std::min(grey.rows, static_cast<int>(box.max.y) + 1);
       y += step) {
    const std::uint8_t* row = grey.ptr<std::uint8_t>(y);
    for (int x = std::max(0, static_cast<int>(box.min.x));
         x < std::min(grey.cols, static_cast<int>(box.max.x) + 1);
         x += step) {
      const Vec2 at{x + 0.5, y + 0.5};
      if (wide(mm_from_px * at)) samples.push_back({at, static_cast<double>(row[x])});
    }
  }
  return {std::move(samples), step};
}

struct Sums {
  Matrix normal = Matrix::Zero();
  Vector right = Vector::Zero();
  double cost = 0.0;
  double weight = 0.0;
};

// Misses count fully while they are small against `scale`, little where they are large: what lies
// over a part of the window does not pull (Cauchy's weights).
Sums summed(const Vector& p,
            const Edges& edges,
            Vec2 guess,
            const std::vector<Sample>& samples,
            double scale) {
  Sums sums;
  Vector slopes;
  for (const Sample& sample : samples) {
    const double miss = sample.grey - modelled(p, edges, guess, sample.at, slopes);
    const double share = miss * miss / (scale * scale);
    const double weight = 1.0 / (1.0 + share);
    sums.normal.noalias() += weight * slopes * slopes.transpose();
    sums.right += weight * slopes * miss;
    sums.cost += scale * scale * std::log1p(share);
    sums.weight += weight;
  }
  return sums;
}

}  // namespace

std::optional<SaddleFit> find_saddle(const cv::Mat& grey, const SaddleGuess& guess) {
  const double sine = cross(normalized(guess.px_per_right), normalized(guess.px_per_up));
  const double mm_px = std::sqrt(std::abs(cross(guess.px_per_right, guess.px_per_up)));
  if (std::abs(sine) < 0.05 || mm_px < 0.5) return {};
  // The edge that runs up has its normal to the right of it, and likewise the other.
  Edges edges{normalized(perpendicular(guess.px_per_up)),
              normalized(perpendicular(guess.px_per_right))};
  if (dot(edges.normal_right, guess.px_per_right) < 0.0) edges.normal_right = -edges.normal_right;
  if (dot(edges.normal_up, guess.px_per_up) < 0.0) edges.normal_up = -edges.normal_up;

  Vector p = Vector::Zero();
  p[0] = guess.px.x;
  p[1] = guess.px.y;
  std::vector<Sample> samples;
  Sums sums;
  // The window is laid about the guess, coarsely where it is large, then closely about what was
  // found.
  double scale = 1e3;
  for (int round = 0; round < 3; ++round) {
    const double near = round == 0 ? 1e9 : 1.0 / mm_px;
    Window window = samples_about(grey,
                                  guess,
                                  {p[0], p[1]},
                                  std::min(guess.edge_mm, kLongEdgePx * near),
                                  std::min(guess.beside_mm, kWidePx * near));
    samples = std::move(window.samples);
    if (samples.size() < 40) return {};
    if (round == 0) {
      p[6] = std::log(std::max(1.0, 0.5 * window.step));
      double mean = 0.0;
      double signed_sum = 0.0;
      double weight = 0.0;
      for (const Sample& s : samples) mean += s.grey / static_cast<double>(samples.size());
      for (const Sample& s : samples) {
        const Vec2 d = s.at - guess.px;
        const double e = std::tanh(dot(edges.normal_right, d)) * std::tanh(dot(edges.normal_up, d));
        signed_sum += e * (s.grey - mean);
        weight += e * e;
      }
      p[2] = mean;
      p[5] = weight > 0.0 ? signed_sum / weight : 0.0;
      const double least = 0.1 * kLeastContrast;
      if (std::abs(p[5]) < least || (p[5] < 0.0) != guess.rising) {
        p[5] = guess.rising ? -20.0 : 20.0;
      }
    }
    if (round > 0) scale = std::max(4.0, kLooseMiss * 2.0 * std::abs(p[5]));
    double damping = 1e-3;
    sums = summed(p, edges, guess.px, samples, scale);
    for (int i = 0; i < 14; ++i) {
      Matrix damped = sums.normal;
      damped.diagonal() *= 1.0 + damping;
      Vector step = damped.ldlt().solve(sums.right);
      if (!step.allFinite()) return {};
      // Far from the place the model is too crooked to be followed at full length.
      const double longest = std::max({std::abs(step[0]), std::abs(step[1]), 1e-12});
      if (longest > 2.0) step *= 2.0 / longest;
      step[6] = std::clamp(step[6], -0.5, 0.5);
      Vector next = p + step;
      next[6] = std::clamp(next[6], kSharpest, kMostBlurred);
      if (std::hypot(next[0] - guess.px.x, next[1] - guess.px.y) > guess.reach_px ||
          std::abs(next[7]) > 0.5 || std::abs(next[8]) > 0.5) {
        damping *= 10.0;
        if (damping > 1e4) return {};
        continue;
      }
      const Sums after = summed(next, edges, guess.px, samples, scale);
      if (after.cost < sums.cost) {
        const bool done = longest < 1e-3 && sums.cost - after.cost < 1e-6 * sums.cost;
        p = next;
        sums = after;
        damping = std::max(1e-9, damping * 0.2);
        if (done) break;
      } else {
        if (longest < 1e-3) break;
        damping *= 10.0;
        if (damping > 1e6) break;
      }
    }
  }
  SaddleFit fit;
  fit.px = {p[0], p[1]};
  fit.contrast = 2.0 * std::abs(p[5]);
  fit.blur_px = std::exp(p[6]);
  const double variance = sums.cost / static_cast<double>(samples.size() - kUnknowns);
  const Matrix spread = sums.normal.inverse();
  fit.sd_px = std::sqrt(std::max(0.0, variance * 0.5 * (spread(0, 0) + spread(1, 1))));
  if ((p[5] < 0.0) != guess.rising || fit.contrast < kLeastContrast ||
      std::sqrt(variance) > kMostMisfit * fit.contrast || !(fit.sd_px < kMostSd) ||
      sums.weight < kLeastWeight * static_cast<double>(samples.size()) ||
      std::abs(p[7]) > kMostTurn || std::abs(p[8]) > kMostTurn ||
      fit.blur_px > std::max(1.5, kMostBlurMm * mm_px) || p[0] < 1.0 || p[1] < 1.0 ||
      p[0] > grey.cols - 1.0 || p[1] > grey.rows - 1.0) {
    return {};
  }
  return fit;
}

}  // namespace underdraw
