#include "trace/measure_width.h"

#include <algorithm>
#include <cmath>

#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kStep = 0.5;  // px between readings across the line

// Distance from the middle to half darkness on one side; `at(k)` is the k-th reading outwards.
template <typename Reading>
double half_width(Reading at, int count, double peak) {
  double lowest = peak;
  int lowest_at = 0;
  for (int k = 1; k < count; ++k) {
    const double v = at(k);
    if (v < 0.5 * peak) {
      const double before = at(k - 1);
      return kStep * (k - (0.5 * peak - v) / (before - v));
    }
    if (v < lowest) {
      lowest = v;
      lowest_at = k;
    } else if (lowest < 0.8 * peak && v > lowest + 0.08 * peak) {
      return kStep * lowest_at;  // a neighbour begins before the ink is half as dark
    }
  }
  return kStep * (count - 1);
}

}  // namespace

std::vector<double> measure_width(const cv::Mat& smooth,
                                  const std::vector<Vec2>& points,
                                  const std::vector<double>& radius,
                                  bool ring,
                                  const MeasureWidthOptions& options) {
  const int n = static_cast<int>(points.size());
  std::vector<double> widths(points.size(), 0.0);
  if (n < 3) {
    for (std::size_t i = 0; i < points.size(); ++i) widths[i] = 2.0 * radius[i];
    return widths;
  }
  const auto index = [&](int i) {
    return static_cast<std::size_t>(ring ? ((i % n) + n) % n : std::clamp(i, 0, n - 1));
  };
  const double thickest = *std::max_element(radius.begin(), radius.end());
  const int count = static_cast<int>(std::ceil((1.5 * thickest + 3.0) / kStep)) + 1;
  const int across = 2 * count - 1;
  // Readings across the line, a row a point; then running sums of them along the line.
  cv::Mat rows(n, across, CV_64F);
  for (int i = 0; i < n; ++i) {
    const Vec2 normal = perpendicular(normalized(points[index(i + 2)] - points[index(i - 2)]));
    double* row = rows.ptr<double>(i);
    for (int k = 0; k < across; ++k) {
      row[k] = static_cast<double>(
          value_at(smooth, points[index(i)] + normal * (kStep * (k - count + 1))));
    }
  }
  const int stretch = static_cast<int>(std::lround(options.stretch_px));
  std::vector<double> mean(static_cast<std::size_t>(across), 0.0);
  const auto add = [&](int i, double sign) {
    const double* row = rows.ptr<double>(static_cast<int>(index(i)));
    for (int k = 0; k < across; ++k) mean[static_cast<std::size_t>(k)] += sign * row[k];
  };
  for (int i = -stretch; i <= stretch; ++i) add(i, 1.0);
  for (int i = 0; i < n; ++i) {
    const double* middle = mean.data() + count - 1;
    const double peak = std::max({middle[-1], middle[0], middle[1]});
    widths[index(i)] = half_width([&](int k) { return middle[k]; }, count, peak) +
                       half_width([&](int k) { return middle[-k]; }, count, peak);
    add(i - stretch, -1.0);
    add(i + stretch + 1, 1.0);
  }
  return widths;
}

}  // namespace underdraw
