#include "trace/refine_line.h"

#include <algorithm>
#include <cmath>

#include "trace/median.h"
#include "trace/value_at.h"

namespace underdraw {
namespace {

struct Profile {
  double shift = 0.0;     // px along the normal from the point to the ink's middle
  double slope = 0.0;     // px over which an edge falls from 3/4 to 3/10; 0 where no edge was seen
  double contrast = 0.0;  // 1 - lightest place beside the line / its middle
};

// Reads the ink across the line. `radius` is half the ink's width as the mask saw it.
Profile read_profile(const cv::Mat& smooth, Vec2 at, Vec2 normal, double radius) {
  constexpr double kStep = 0.5;
  const int reach = static_cast<int>(std::ceil((1.5 * radius + 1.5) / kStep));
  const auto value = [&](int k) {
    return static_cast<double>(value_at(smooth, at + normal * (kStep * k)));
  };
  // The middle may be off by a pixel: start from the darkest place near it.
  int middle = 0;
  double peak = value(0);
  const int near = static_cast<int>(std::ceil(std::max(1.0, 0.5 * radius) / kStep));
  for (int k = -near; k <= near; ++k) {
    const double v = value(k);
    if (v > peak) {
      peak = v;
      middle = k;
    }
  }
  if (peak <= 0.0) return {};
  const double floor = 0.3 * peak;
  double weight_sum = peak - floor;
  double moment = weight_sum * middle;
  double slope = 0.0;
  double lightest = peak;
  int edges = 0;
  for (const int side : {-1, 1}) {
    double lowest = peak;
    int shoulder = 0;  // steps from the middle to where the edge begins
    int foot = reach;  // and to where it ends, or beyond reach
    for (int k = middle + side; std::abs(k) <= reach; k += side) {
      const double v = value(k);
      if (shoulder == 0 && v < 0.75 * peak) shoulder = std::abs(k - middle);
      if (v < 0.3 * peak) {
        foot = std::abs(k - middle);
        lowest = v;
        break;
      }
      lowest = std::min(lowest, v);
      // Climbing again towards a neighbour: this line ends here.
      if (lowest < 0.8 * peak && v > lowest + 0.08 * peak) {
        foot = 0;
        break;
      }
      weight_sum += v - floor;
      moment += (v - floor) * k;
    }
    lightest = std::min(lightest, lowest);
    if (foot > 0) {
      slope += kStep * std::max(0, foot - shoulder);
      ++edges;
    }
  }
  const double limit = std::max(1.0, 0.8 * radius);
  return {std::clamp(kStep * moment / weight_sum, -limit, limit),
          edges > 0 ? slope / edges : 0.0,
          1.0 - lightest / peak};
}

}  // namespace

std::vector<Vec2> evened_line(const std::vector<Vec2>& in, double sigma, bool ring) {
  const int n = static_cast<int>(in.size());
  if (n < 3) return in;
  const int reach = std::min(static_cast<int>(std::ceil(2.5 * sigma)), n - 1);
  std::vector<double> weight;
  for (int k = 0; k <= reach; ++k) weight.push_back(std::exp(-0.5 * k * k / (sigma * sigma)));
  const auto at = [&](int i) {
    if (ring) return in[static_cast<std::size_t>(((i % n) + n) % n)];
    if (i < 0) return 2.0 * in.front() - in[static_cast<std::size_t>(-i)];
    if (i >= n) return 2.0 * in.back() - in[static_cast<std::size_t>(2 * (n - 1) - i)];
    return in[static_cast<std::size_t>(i)];
  };
  std::vector<Vec2> out(in.size());
  for (int i = 0; i < n; ++i) {
    Vec2 sum = in[static_cast<std::size_t>(i)];
    double total = 1.0;
    for (int k = 1; k <= reach; ++k) {
      const double w = weight[static_cast<std::size_t>(k)];
      sum += (at(i - k) + at(i + k)) * w;
      total += 2.0 * w;
    }
    out[static_cast<std::size_t>(i)] = sum / total;
  }
  return out;
}

RefinedLine refine_line(const cv::Mat& smooth,
                        const std::vector<Vec2>& points,
                        const std::vector<double>& radius,
                        bool ring,
                        const RefineOptions& options) {
  RefinedLine out;
  const int n = static_cast<int>(points.size());
  out.points = evened_line(points, std::max(1.5, 0.5 * options.even_px), ring);
  if (n < 3) return out;
  std::vector<double> slopes;
  std::vector<double> contrasts;
  for (int pass = 0; pass < 2; ++pass) {
    std::vector<Vec2> moved = out.points;
    for (int i = 0; i < n; ++i) {
      const auto neighbour = [&](int k) {
        if (ring) return out.points[static_cast<std::size_t>(((k % n) + n) % n)];
        return out.points[static_cast<std::size_t>(std::clamp(k, 0, n - 1))];
      };
      const Vec2 tangent = normalized(neighbour(i + 2) - neighbour(i - 2));
      const std::size_t at = static_cast<std::size_t>(i);
      const Vec2 normal = perpendicular(tangent);
      const Profile profile = read_profile(smooth, out.points[at], normal, radius[at]);
      moved[at] = out.points[at] + normal * profile.shift;
      if (pass == 1) {
        contrasts.push_back(profile.contrast);
        if (profile.slope > 0.0) slopes.push_back(profile.slope);
      }
    }
    out.points = evened_line(moved, options.even_px, ring);
  }
  out.edge_slope = median(slopes);
  out.contrast = median(contrasts);
  return out;
}

}  // namespace underdraw
