#include "recover/recovered.h"

#include <cmath>

namespace underdraw {

std::vector<Vec2> run_on_through_seam(std::vector<Vec2> points) {
  if (points.empty()) return points;
  points.front().x -= 360.0 * std::floor(points.front().x / 360.0);
  if (points.front().x >= 360.0) points.front().x = 0.0;  // a hair below 0 rounds up to 360
  for (std::size_t i = 1; i < points.size(); ++i) {
    points[i].x = points[i - 1].x + std::remainder(points[i].x - points[i - 1].x, 360.0);
  }
  return points;
}

}  // namespace underdraw
