#include "scan/ink_density.h"

#include <algorithm>
#include <vector>

namespace underdraw {

cv::Mat ink_density(const Page& page, const PaperLight& light, const cv::Rect& window) {
  cv::Mat out(window.size(), CV_32F);
  // Bilinear light along both axes, read once per column and row: no full-size light is held.
  struct Step {
    int low, high;
    float share;
  };
  const auto step_at = [&](int px, int limit) {
    const double at = (px + 0.5) / light.shrink - 0.5;
    const int low = std::clamp(static_cast<int>(std::floor(at)), 0, limit - 1);
    const int high = std::min(low + 1, limit - 1);
    return Step{low, high, static_cast<float>(std::clamp(at - low, 0.0, 1.0))};
  };
  std::vector<Step> columns;
  columns.reserve(static_cast<std::size_t>(window.width));
  for (int x = 0; x < window.width; ++x) {
    columns.push_back(step_at(window.x + x, light.light.cols));
  }
  std::vector<float> row_light(static_cast<std::size_t>(light.light.cols));
  for (int y = 0; y < window.height; ++y) {
    const Step row = step_at(window.y + y, light.light.rows);
    const float* low = light.light.ptr<float>(row.low);
    const float* high = light.light.ptr<float>(row.high);
    for (int x = columns.front().low; x <= columns.back().high; ++x) {
      row_light[static_cast<std::size_t>(x)] = low[x] + row.share * (high[x] - low[x]);
    }
    const uchar* grey = page.grey.ptr<uchar>(window.y + y) + window.x;
    float* to = out.ptr<float>(y);
    for (int x = 0; x < window.width; ++x) {
      const Step& c = columns[static_cast<std::size_t>(x)];
      const float a = row_light[static_cast<std::size_t>(c.low)];
      const float b = row_light[static_cast<std::size_t>(c.high)];
      to[x] = 1.0F - static_cast<float>(grey[x]) / (a + c.share * (b - a));
    }
  }
  return out;
}

}  // namespace underdraw
