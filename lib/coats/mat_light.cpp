#include "coats/mat_light.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "core/error.h"
#include "photo/refuse_photo.h"

namespace underdraw {
namespace {

constexpr int kBurnt = 250;            // JPEG does not keep 255 apart from what is just below
constexpr double kLeastPxPerMm = 2.5;  // below, the rims' white runs into the black beside it
constexpr double kLeastLight = 0.06;   // of the paper; below, tones are too few
constexpr double kMostBurnt = 0.2;     // of the paper's places
constexpr std::size_t kLeastPlaces = 40;
constexpr double kSpan = 100.0;  // mm; keeps the surface's terms near 1

struct White {
  Vec2 at;
  LinearRgb light;
};

std::vector<std::pair<Vec2, double>> white_places(const MatLayout& mat) {
  std::vector<std::pair<Vec2, double>> places;
  const double rim = 0.25 * (mat.square_mm + mat.mark_mm);  // from a square's middle to its rim's
  const double side = 0.3 * 0.5 * (mat.square_mm - mat.mark_mm);
  for (const MatMark& mark : mat.marks) {
    for (const double x : {-1.0, 0.0, 1.0}) {
      for (const double y : {-1.0, 0.0, 1.0}) {
        if (x == 0.0 && y == 0.0) continue;
        places.emplace_back(mark.centre + Vec2{x, y} * rim, side);
      }
    }
  }
  constexpr double kInside = 2.5;
  constexpr double kStep = 6.0;
  constexpr double kSide = 2.0;
  const Vec2 half = mat.opening_mm / 2.0 - Vec2{kInside, kInside};
  for (double x = -half.x; x <= half.x; x += kStep) {
    for (const double y : {-half.y, half.y}) places.emplace_back(Vec2{x, y}, kSide);
  }
  for (double y = -half.y + kStep; y < half.y; y += kStep) {
    for (const double x : {-half.x, half.x}) places.emplace_back(Vec2{x, y}, kSide);
  }
  return places;
}

Eigen::Matrix<double, 1, 6> terms_at(Vec2 mat) {
  const double x = mat.x / kSpan;
  const double y = mat.y / kSpan;
  Eigen::Matrix<double, 1, 6> t;
  t << 1.0, x, y, x * x, x * y, y * y;
  return t;
}

Eigen::VectorXd solved(const Eigen::MatrixXd& terms,
                       const Eigen::VectorXd& values,
                       const Eigen::VectorXd& weight) {
  const Eigen::MatrixXd weighted = weight.asDiagonal() * terms;
  return (terms.transpose() * weighted).ldlt().solve(weighted.transpose() * values);
}

// A standard deviation that strays do not move.
double spread_of(const Eigen::VectorXd& off) {
  std::vector<double> sizes(off.data(), off.data() + off.size());
  for (double& size : sizes) size = std::abs(size);
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::nth_element(sizes.begin(), middle, sizes.end());
  return 1.4826 * *middle;
}

// Weights that make a fitted surface follow the paper and not what lies on it.
struct PaperWeights {
  Eigen::VectorXd weight;
  double sd = 0.0;  // relative
};

PaperWeights paper_weights(const Eigen::MatrixXd& terms, const Eigen::VectorXd& log_light) {
  constexpr int kRounds = 12;
  constexpr double kHuber = 1.345;  // of the standard deviation
  constexpr double kLeastSd = 1e-3;
  PaperWeights out;
  out.weight = Eigen::VectorXd::Ones(log_light.size());
  for (int round = 0; round < kRounds; ++round) {
    const Eigen::VectorXd off = log_light - terms * solved(terms, log_light, out.weight);
    out.sd = std::max(spread_of(off), kLeastSd);
    const bool last = round + 1 == kRounds;
    for (Eigen::Index i = 0; i < off.size(); ++i) {
      const double far = std::abs(off[i]) / out.sd;
      out.weight[i] = last && far > 3.0 ? 0.0 : std::min(1.0, kHuber / std::max(far, 1e-9));
    }
  }
  return out;
}

}  // namespace

std::optional<SeenPlace> seen_place(const MatPhoto& photo, Vec3 at, double side_mm) {
  const double per_mm = photo.marks.px_per_mm;
  const int n = std::clamp(static_cast<int>(std::ceil(side_mm * per_mm)), 1, 12);
  SeenPlace seen;
  const auto& light = light_of_tones();
  for (int i = 0; i < n * n; ++i) {
    const Vec3 point =
        at + Vec3{side_mm * ((i % n + 0.5) / n - 0.5), side_mm * ((i / n + 0.5) / n - 0.5), 0.0};
    const auto px = px_from_mat(photo.posed.camera, photo.posed.pose, point);
    if (!px || px->x < 0.0 || px->y < 0.0 || px->x >= photo.bgr.cols || px->y >= photo.bgr.rows) {
      return std::nullopt;
    }
    const auto tones = photo.bgr.at<cv::Vec3b>(static_cast<int>(px->y), static_cast<int>(px->x));
    for (int c = 0; c < 3; ++c) seen.burnt = seen.burnt || tones[c] >= kBurnt;
    seen.light.b += light[tones[0]];
    seen.light.g += light[tones[1]];
    seen.light.r += light[tones[2]];
  }
  seen.light = {seen.light.r / (n * n), seen.light.g / (n * n), seen.light.b / (n * n)};
  return seen;
}

MatLight::MatLight(const MatPhoto& photo) {
  if (photo.marks.px_per_mm < kLeastPxPerMm) {
    refuse_photo(photo.marks.photo,
                 fmt::format("shows the mat at {:.1f} px a mm", photo.marks.px_per_mm),
                 fmt::format("{:g} or more", kLeastPxPerMm),
                 "take it from nearer, or with the camera's full size");
  }
  std::vector<White> whites;
  std::size_t in_view = 0;
  for (const auto& [at, side] : white_places(*photo.marks.mat)) {
    const auto seen = seen_place(photo, {at.x, at.y, 0.0}, side);
    if (!seen) continue;
    ++in_view;
    if (!seen->burnt && seen->light.luminance() > 0.0) whites.push_back({at, seen->light});
  }
  if (in_view < kLeastPlaces) {
    refuse_photo(photo.marks.photo,
                 "shows too little of the mat's white paper",
                 {},
                 "take it again with more of the mat in view");
  }
  if (static_cast<double>(in_view - whites.size()) > kMostBurnt * static_cast<double>(in_view)) {
    refuse_photo(photo.marks.photo,
                 "the mat's paper is burnt out, so what is white is not known",
                 {},
                 "take it again in shade, or darker");
  }
  const auto count = static_cast<Eigen::Index>(whites.size());
  Eigen::MatrixXd terms(count, 6);
  Eigen::MatrixXd logs(count, 4);  // red, green, blue, luminance
  for (Eigen::Index i = 0; i < count; ++i) {
    const White& white = whites[static_cast<std::size_t>(i)];
    constexpr double kDark = 1e-5;
    terms.row(i) = terms_at(white.at);
    logs.row(i) << std::log(std::max(white.light.r, kDark)),
        std::log(std::max(white.light.g, kDark)), std::log(std::max(white.light.b, kDark)),
        std::log(white.light.luminance());
  }
  const PaperWeights paper = paper_weights(terms, logs.col(3));
  off_ = paper.sd;
  for (std::size_t c = 0; c < 3; ++c) {
    const Eigen::VectorXd surface =
        solved(terms, logs.col(static_cast<Eigen::Index>(c)), paper.weight);
    std::copy_n(surface.data(), 6, surfaces_[c].begin());
  }
  if (paper_at({}).luminance() < kLeastLight) {
    refuse_photo(photo.marks.photo,
                 "is too dark: tones of the mat's paper are too few",
                 {},
                 "take it again in more light");
  }
}

LinearRgb MatLight::paper_at(Vec2 mat) const {
  const Eigen::Matrix<double, 1, 6> terms = terms_at(mat);
  const auto light = [&](const Surface& surface) {
    return std::exp(terms.dot(Eigen::Map<const Eigen::Matrix<double, 1, 6>>(surface.data())));
  };
  return {light(surfaces_[0]), light(surfaces_[1]), light(surfaces_[2])};
}

LinearRgb MatLight::reflected(Vec2 mat, LinearRgb seen) const {
  const LinearRgb paper = paper_at(mat);
  return {kPaperLight * seen.r / paper.r,
          kPaperLight * seen.g / paper.g,
          kPaperLight * seen.b / paper.b};
}

}  // namespace underdraw
