#include "trace/measure_line.h"

#include <algorithm>
#include <cmath>

#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kStep = 0.5;    // px between readings across the line
constexpr double kFloor = 0.25;  // share of the line's darkness below which it is paper

// Readings across the line, `middle` steps to either side of it.
class Profile {
 public:
  Profile(const double* values, int middle) : values_(values), middle_(middle) {}
  double at(int k) const { return values_[k + middle_]; }

  // Darkest place within reach of the middle.
  int darkest(int reach) const {
    int best = 0;
    for (int k = -reach; k <= reach; ++k) {
      if (at(k) > at(best)) best = k;
    }
    return best;
  }
  // Steps from `from` to where the ink is half as dark, going one way; none within `reach`.
  std::optional<double> edge(int from, int way, int reach, double half) const {
    for (int k = 1; k <= reach; ++k) {
      const double v = at(from + way * k);
      if (v < half) {
        const double before = at(from + way * (k - 1));
        return k - (half - v) / std::max(before - v, 1e-9);
      }
    }
    return std::nullopt;
  }

 private:
  const double* values_;
  int middle_;
};

}  // namespace

std::vector<LineReading> measure_line(const cv::Mat& smooth,
                                      const std::vector<LinePlace>& places,
                                      const MeasureLineOptions& options) {
  const int n = static_cast<int>(places.size());
  std::vector<LineReading> out(places.size());
  if (n == 0) return out;
  double widest = 0.0;
  for (const LinePlace& place : places) widest = std::max(widest, place.width);
  const int middle = static_cast<int>(std::ceil((widest + 3.0) / kStep));
  const int across = 2 * middle + 1;
  cv::Mat rows(n, across, CV_64F);
  for (int i = 0; i < n; ++i) {
    const LinePlace& place = places[static_cast<std::size_t>(i)];
    const Vec2 step = perpendicular(place.along) * kStep;
    double* row = rows.ptr<double>(i);
    for (int k = 0; k < across; ++k) {
      row[k] = static_cast<double>(value_at(smooth, place.at + step * double(k - middle)));
    }
  }
  const int stretch = static_cast<int>(std::lround(options.stretch_px));
  std::vector<double> sum(static_cast<std::size_t>(across), 0.0);
  int in_sum = 0;
  const auto add = [&](int i, int sign) {
    if (options.ring) {
      i = ((i % n) + n) % n;
    } else if (i < 0 || i >= n) {
      return;
    }
    const double* row = rows.ptr<double>(i);
    for (int k = 0; k < across; ++k) sum[static_cast<std::size_t>(k)] += sign * row[k];
    in_sum += sign;
  };
  for (int i = -stretch; i <= stretch; ++i) add(i, 1);
  for (int i = 0; i < n; ++i) {
    const LinePlace& place = places[static_cast<std::size_t>(i)];
    LineReading& reading = out[static_cast<std::size_t>(i)];
    const Profile mean(sum.data(), middle);
    const int near = static_cast<int>(std::ceil(std::clamp(0.35 * place.width, 1.0, 3.0) / kStep));
    const double reach = place.reach();
    const bool left_free = place.left_free();
    const bool right_free = place.right_free();
    const int top = left_free && right_free ? mean.darkest(near) : 0;
    const double peak = mean.at(top);
    const int far = middle - std::abs(top);
    const int limit = std::min(far, static_cast<int>(std::lround((reach + 1.0) / kStep)));
    const std::optional<double> to_left =
        left_free ? mean.edge(top, -1, limit, 0.5 * peak) : std::nullopt;
    const std::optional<double> to_right =
        right_free ? mean.edge(top, 1, limit, 0.5 * peak) : std::nullopt;
    reading.depth = (peak - *std::min_element(sum.begin(), sum.end())) / in_sum;
    if (peak > 0.0 && left_free && right_free) {
      // The window is as wide to the left as to the right, so that what shines in from a
      // neighbour does not draw the middle aside.
      const double open =
          std::min({reach, place.left.value_or(reach), place.right.value_or(reach)});
      const int window = std::max(2, static_cast<int>(std::lround(open / kStep)));
      const double floor = kFloor * peak / in_sum;
      const double* row = rows.ptr<double>(i) + middle;
      double mass = 0.0;
      double moment = 0.0;
      for (int k = std::max(-middle, top - window); k <= std::min(middle, top + window); ++k) {
        const double v = std::max(0.0, row[k] - floor);
        mass += v;
        moment += v * k;
      }
      const double full = (1.0 - kFloor) * peak / in_sum * place.width / kStep;
      if (mass > 0.0) {
        reading.aside = kStep * moment / mass;
        reading.weight = std::min(2.0, mass / full);
      }
    } else if (peak > 0.0 && left_free != right_free) {
      // One side runs into other ink: the free edge tells where the line is.
      const std::optional<double> edge = left_free ? to_left : to_right;
      if (edge) {
        const double off = *edge * kStep - 0.5 * place.width * (1.0 - place.light);
        reading.aside = left_free ? -off : off;
        reading.weight = 0.3;
      }
    }
    if (to_left && to_right) reading.width = kStep * (*to_left + *to_right);
    add(i - stretch, -1);
    add(i + stretch + 1, 1);
  }
  return out;
}

}  // namespace underdraw
