#include "photo/settle_quad.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "photo/draw_code.h"

namespace underdraw {
namespace {

constexpr int kPlaces = 28;      // along an edge
constexpr double kEnds = 0.08;   // of an edge, left out at both ends: corners are round
constexpr double kReach = 0.75;  // cells to both sides; the rim is one cell wide
constexpr double kStepPx = 0.25;
constexpr double kLeastContrast = 25.0;  // grey levels
constexpr std::size_t kLeastPlaces = 12;

// Bilinear; nothing beyond the picture.
std::optional<double> light_at(const cv::Mat& grey, Vec2 px) {
  const double x = px.x - 0.5;
  const double y = px.y - 0.5;
  if (x < 0.0 || y < 0.0 || x >= grey.cols - 1 || y >= grey.rows - 1) return {};
  const int i = static_cast<int>(x);
  const int j = static_cast<int>(y);
  const auto* top = grey.ptr<std::uint8_t>(j) + i;
  const auto* low = grey.ptr<std::uint8_t>(j + 1) + i;
  const double s = x - i;
  return std::lerp(std::lerp(double(top[0]), double(top[1]), s),
                   std::lerp(double(low[0]), double(low[1]), s),
                   y - j);
}

// How far outward of `at` the light is half way; nothing where there is no clear edge.
std::optional<double> edge_at(const cv::Mat& grey, Vec2 at, Vec2 outward, double reach) {
  const int steps = static_cast<int>(std::ceil(reach / kStepPx));
  std::vector<double> light;
  for (int i = -steps; i <= steps; ++i) {
    const auto value = light_at(grey, at + outward * (i * kStepPx));
    if (!value) return {};
    light.push_back(*value);
  }
  const auto mean = [&](std::size_t from) {
    const auto count = static_cast<std::size_t>(steps) / 3 + 1;
    double sum = 0.0;
    for (std::size_t k = 0; k < count; ++k) sum += light[from + k];
    return sum / static_cast<double>(count);
  };
  const double dark = mean(0);
  const double bright = mean(light.size() - static_cast<std::size_t>(steps) / 3 - 1);
  if (bright - dark < kLeastContrast) return {};
  const double half = 0.5 * (dark + bright);
  std::optional<double> found;
  for (std::size_t i = 0; i + 1 < light.size(); ++i) {
    if (light[i] >= half || light[i + 1] < half) continue;
    const double place =
        (static_cast<double>(i) + (half - light[i]) / (light[i + 1] - light[i]) - steps) * kStepPx;
    if (!found || std::abs(place) < std::abs(*found)) found = place;
  }
  return found;
}

struct Line {
  Vec2 at, along;
};

// Through points that are nearly in a row; the farthest third of them counts only if near.
std::optional<Line> line_through(std::vector<Vec2> points) {
  Line line;
  for (int round = 0; round < 3; ++round) {
    if (points.size() < kLeastPlaces) return {};
    Vec2 sum;
    for (const Vec2 p : points) sum += p;
    line.at = sum / static_cast<double>(points.size());
    double xx = 0.0, xy = 0.0, yy = 0.0;
    for (const Vec2 p : points) {
      const Vec2 d = p - line.at;
      xx += d.x * d.x;
      xy += d.x * d.y;
      yy += d.y * d.y;
    }
    const double angle = 0.5 * std::atan2(2.0 * xy, xx - yy);
    line.along = {std::cos(angle), std::sin(angle)};
    std::vector<double> off;
    for (const Vec2 p : points) off.push_back(std::abs(cross(line.along, p - line.at)));
    std::vector<double> sorted = off;
    std::nth_element(sorted.begin(),
                     sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2),
                     sorted.end());
    const double limit = std::max(0.15, 3.0 * sorted[sorted.size() / 2]);
    std::vector<Vec2> near;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (off[i] <= limit) near.push_back(points[i]);
    }
    points = std::move(near);
  }
  return line;
}

}  // namespace

Quad settled_quad(const cv::Mat& grey, const Quad& quad) {
  std::array<Line, 4> edges;
  for (std::size_t k = 0; k < 4; ++k) {
    const Vec2 from = quad[k];
    const Vec2 way = quad[(k + 1) % 4] - from;
    const Vec2 outward = -perpendicular(normalized(way));  // clockwise on paper, y down
    // The mark's other side says how large a cell is across this edge.
    const Vec2 back = quad[(k + 3) % 4] - from;
    const double cell = std::abs(cross(normalized(way), back)) / kCodeCells;
    std::vector<Vec2> places;
    for (int i = 0; i < kPlaces; ++i) {
      const double t = kEnds + (1.0 - 2.0 * kEnds) * i / (kPlaces - 1);
      const Vec2 at = from + way * t;
      const auto off = edge_at(grey, at, outward, kReach * cell);
      if (off) places.push_back(at + outward * *off);
    }
    const auto line = line_through(std::move(places));
    if (!line) return quad;
    edges[k] = *line;
  }
  Quad settled;
  for (std::size_t k = 0; k < 4; ++k) {
    const Line& a = edges[(k + 3) % 4];
    const Line& b = edges[k];
    const double turn = cross(a.along, b.along);
    if (std::abs(turn) < 0.1) return quad;
    settled[k] = a.at + a.along * (cross(b.at - a.at, b.along) / turn);
    const double side = distance(quad[k], quad[(k + 1) % 4]);
    if (distance(settled[k], quad[k]) > side / kCodeCells) return quad;
  }
  return settled;
}

}  // namespace underdraw
