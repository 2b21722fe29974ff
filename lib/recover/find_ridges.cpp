#include "recover/find_ridges.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "core/parallel.h"
#include "trace/median.h"

namespace underdraw {
namespace {

// A Gaussian and its first two derivatives.
struct Kernels {
  cv::Mat even, slope, bend;
};
Kernels kernels(double sigma) {
  const int reach = static_cast<int>(std::ceil(3.5 * sigma));
  Kernels out;
  for (cv::Mat* kernel : {&out.even, &out.slope, &out.bend}) {
    kernel->create(1, 2 * reach + 1, CV_32F);
  }
  const double one = 1.0 / (std::sqrt(2.0 * CV_PI) * sigma);
  const double variance = sigma * sigma;
  for (int i = -reach; i <= reach; ++i) {
    const double g = one * std::exp(-0.5 * i * i / variance);
    out.even.at<float>(i + reach) = static_cast<float>(g);
    // filter2D correlates: the sign is that of x growing.
    out.slope.at<float>(i + reach) = static_cast<float>(g * i / variance);
    out.bend.at<float>(i + reach) =
        static_cast<float>(g * (static_cast<double>(i) * i / variance - 1.0) / variance);
  }
  out.bend -= cv::mean(out.bend)[0];
  return out;
}

struct Derivatives {
  cv::Mat x, y, xx, xy, yy;
};

// The larger downward bend and its direction: eigenvalue and eigenvector of the second derivatives.
struct Bent {
  float by = 0.0f;
  Vec2 across;
};
Bent bent_at(const Derivatives& d, int y, int x) {
  const double xx = d.xx.at<float>(y, x);
  const double xy = d.xy.at<float>(y, x);
  const double yy = d.yy.at<float>(y, x);
  const double mean = 0.5 * (xx + yy);
  const double half = 0.5 * (xx - yy);
  const double spread = std::sqrt(half * half + xy * xy);
  const double turn = 0.5 * std::atan2(-xy, -half);  // of the most negative eigenvalue
  return {static_cast<float>(spread - mean), {std::cos(turn), std::sin(turn)}};
}

}  // namespace

std::vector<Ridge> find_ridges(const cv::Mat& depth,
                               const cv::Mat& mask,
                               const RidgeOptions& options) {
  const Kernels k = kernels(options.sigma_px);
  Derivatives d;
  cv::sepFilter2D(depth, d.x, CV_32F, k.slope, k.even);
  cv::sepFilter2D(depth, d.y, CV_32F, k.even, k.slope);
  cv::sepFilter2D(depth, d.xx, CV_32F, k.bend, k.even);
  cv::sepFilter2D(depth, d.yy, CV_32F, k.even, k.bend);
  cv::sepFilter2D(depth, d.xy, CV_32F, k.slope, k.slope);

  const double scale = options.sigma_px * options.sigma_px;
  std::vector<double> usual;
  for (int y = 2; y < depth.rows; y += 5) {
    for (int x = 2; x < depth.cols; x += 5) {
      if (mask.at<uchar>(y, x)) usual.push_back(std::abs(bent_at(d, y, x).by) * scale);
    }
  }
  const double least =
      std::max(options.least, options.times_noise * 0.6 * median(std::move(usual)));

  std::vector<std::vector<Ridge>> rows(static_cast<std::size_t>(depth.rows));
  parallel_for(rows.size(), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    const uchar* here = mask.ptr<uchar>(y);
    for (int x = 0; x < depth.cols; ++x) {
      if (!here[x]) continue;
      const Bent bent = bent_at(d, y, x);
      if (bent.by * scale < least) continue;
      const Vec2 slope{d.x.at<float>(y, x), d.y.at<float>(y, x)};
      const Vec2 off = bent.across * (dot(slope, bent.across) / bent.by);
      if (std::abs(off.x) > 0.55 || std::abs(off.y) > 0.55) continue;
      rows[row].push_back({Vec2{x + 0.5, y + 0.5} + off,
                           perpendicular(bent.across),
                           static_cast<float>(bent.by * scale)});
    }
  });
  std::vector<Ridge> out;
  for (const std::vector<Ridge>& row : rows) out.insert(out.end(), row.begin(), row.end());
  return out;
}

}  // namespace underdraw
