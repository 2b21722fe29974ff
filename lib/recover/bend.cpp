#include "recover/bend.h"

#include <algorithm>
#include <cmath>

#include <opencv2/core.hpp>

namespace underdraw {
namespace {

constexpr double kKnotMm = 9.0;
constexpr double kStill = 0.02;  // holds knots that no pull reaches

void cubic_weights(double t, double* w) {
  const double u = 1.0 - t;
  w[0] = u * u * u / 6.0;
  w[1] = (3.0 * t * t * t - 6.0 * t * t + 4.0) / 6.0;
  w[2] = (3.0 * u * u * u - 6.0 * u * u + 4.0) / 6.0;
  w[3] = t * t * t / 6.0;
}

}  // namespace

Bend::Bend(const Affine& moved_from_drawn, const Box& drawn_box)
    : moved_(moved_from_drawn), box_(drawn_box.grown(0.5)), middle_(drawn_box.centre()) {
  const int across = std::max(1, static_cast<int>(std::lround(box_.width() / kKnotMm)));
  const int down = std::max(1, static_cast<int>(std::lround(box_.height() / kKnotMm)));
  columns_ = across + 3;
  rows_ = down + 3;
  step_ = {box_.width() / across, box_.height() / down};
  knots_.assign(static_cast<std::size_t>(columns_ * rows_), {});
}

Bend::Spline Bend::spline_at(Vec2 drawn) const {
  const double x = std::clamp((drawn.x - box_.min.x) / step_.x, 0.0, columns_ - 3 - 1e-9);
  const double y = std::clamp((drawn.y - box_.min.y) / step_.y, 0.0, rows_ - 3 - 1e-9);
  const int column = static_cast<int>(x);
  const int row = static_cast<int>(y);
  double wx[4];
  double wy[4];
  cubic_weights(x - column, wx);
  cubic_weights(y - row, wy);
  Spline out;
  out.first = static_cast<std::size_t>(row * columns_ + column);
  for (int r = 0; r < 4; ++r) {
    for (int c = 0; c < 4; ++c) out.weights[4 * r + c] = wy[r] * wx[c];
  }
  return out;
}

Vec2 Bend::bent(Vec2 drawn) const {
  const Spline spline = spline_at(drawn);
  Vec2 by;
  for (std::size_t r = 0; r < 4; ++r) {
    for (std::size_t c = 0; c < 4; ++c) {
      by += knots_[spline.first + r * static_cast<std::size_t>(columns_) + c] *
            spline.weights[4 * r + c];
    }
  }
  return moved_ * drawn + by;
}

Vec2 Bend::bent_along(Vec2 drawn, Vec2 along) const {
  constexpr double kStepMm = 0.25;
  return normalized(bent(drawn + along * kStepMm) - bent(drawn - along * kStepMm));
}

void Bend::pull(const std::vector<BendPull>& pulls, double stiff) {
  const int count = 2 * columns_ * rows_;
  cv::Mat normal = cv::Mat::zeros(count, count, CV_64F);
  cv::Mat right = cv::Mat::zeros(count, 1, CV_64F);
  for (const BendPull& pull : pulls) {
    const Spline spline = spline_at(pull.drawn);
    int index[32];
    double slope[32];
    double now = 0.0;
    for (int k = 0; k < 16; ++k) {
      const int knot = static_cast<int>(spline.first) + k / 4 * columns_ + k % 4;
      index[2 * k] = 2 * knot;
      index[2 * k + 1] = 2 * knot + 1;
      slope[2 * k] = spline.weights[k] * pull.across.x;
      slope[2 * k + 1] = spline.weights[k] * pull.across.y;
      now += dot(knots_[static_cast<std::size_t>(knot)], pull.across) * spline.weights[k];
    }
    const double wanted = now + pull.off;
    for (int a = 0; a < 32; ++a) {
      double* row = normal.ptr<double>(index[a]);
      const double weighed = pull.weight * slope[a];
      right.at<double>(index[a]) += weighed * wanted;
      for (int b = 0; b < 32; ++b) row[index[b]] += weighed * slope[b];
    }
  }
  // Second differences along rows, columns and both diagonals' cross.
  const auto hold = [&](std::initializer_list<std::pair<int, double>> terms, double weight) {
    for (const int axis : {0, 1}) {
      for (const auto& [a, va] : terms) {
        for (const auto& [b, vb] : terms) {
          normal.at<double>(2 * a + axis, 2 * b + axis) += weight * va * vb;
        }
      }
    }
  };
  for (int r = 0; r < rows_; ++r) {
    for (int c = 0; c < columns_; ++c) {
      const int k = r * columns_ + c;
      hold({{k, 1.0}}, kStill);
      if (c + 2 < columns_) hold({{k, 1.0}, {k + 1, -2.0}, {k + 2, 1.0}}, stiff);
      if (r + 2 < rows_) {
        hold({{k, 1.0}, {k + columns_, -2.0}, {k + 2 * columns_, 1.0}}, stiff);
      }
      if (r + 1 < rows_ && c + 1 < columns_) {
        hold({{k, 1.0}, {k + 1, -1.0}, {k + columns_, -1.0}, {k + columns_ + 1, 1.0}}, 2.0 * stiff);
      }
    }
  }
  cv::Mat solved;
  if (!cv::solve(normal, right, solved, cv::DECOMP_CHOLESKY)) return;
  for (std::size_t k = 0; k < knots_.size(); ++k) {
    const int at = static_cast<int>(2 * k);
    knots_[k] = {solved.at<double>(at), solved.at<double>(at + 1)};
  }
}

Affine Bend::nearest_placing() const {
  // Least squares of a similarity over a grid of the drawing: U. Umeyama's in the plane.
  constexpr int kSteps = 8;
  std::vector<Vec2> from;
  std::vector<Vec2> to;
  for (int y = 0; y <= kSteps; ++y) {
    for (int x = 0; x <= kSteps; ++x) {
      const Vec2 p{std::lerp(box_.min.x, box_.max.x, x / double{kSteps}),
                   std::lerp(box_.min.y, box_.max.y, y / double{kSteps})};
      from.push_back(p);
      to.push_back(bent(p));
    }
  }
  Vec2 from_mean;
  Vec2 to_mean;
  for (std::size_t i = 0; i < from.size(); ++i) {
    from_mean += from[i] / static_cast<double>(from.size());
    to_mean += to[i] / static_cast<double>(from.size());
  }
  double along = 0.0;
  double aside = 0.0;
  double size = 0.0;
  for (std::size_t i = 0; i < from.size(); ++i) {
    const Vec2 p = from[i] - from_mean;
    const Vec2 q = to[i] - to_mean;
    along += dot(p, q);
    aside += cross(p, q);
    size += dot(p, p);
  }
  const double c = along / size;
  const double s = aside / size;
  Affine out{c, -s, 0.0, s, c, 0.0};
  const Vec2 shift = to_mean - out * from_mean;
  out.tx = shift.x;
  out.ty = shift.y;
  return out;
}

}  // namespace underdraw
