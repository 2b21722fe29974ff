#include "support/stroke_raster.h"

#include <cmath>
#include <cstdint>

namespace underdraw::test {
namespace {

constexpr double kFlatness_px = 0.01;
constexpr double kLongestSegment_px = 16.0;  // keeps the boxes of slanting segments small

// Share of the unit square around 0 where n . p <= e, for a unit vector n.
double half_plane_share(double e, Vec2 n) {
  const double a = std::max(std::abs(n.x), std::abs(n.y));
  const double b = std::min(std::abs(n.x), std::abs(n.y));
  const double reach = (a + b) / 2.0;
  if (e >= reach) return 1.0;
  if (e <= -reach) return 0.0;
  if (std::abs(e) <= (a - b) / 2.0) return 0.5 + e / a;
  const double corner = (reach - std::abs(e)) * (reach - std::abs(e)) / (2.0 * a * b);
  return e > 0.0 ? 1.0 - corner : corner;
}

std::vector<Vec2> short_segments(const Path& path_px) {
  const std::vector<Vec2> corners = flatten(path_px, kFlatness_px);
  std::vector<Vec2> out;
  if (!corners.empty()) out.push_back(corners.front());
  for (std::size_t i = 1; i < corners.size(); ++i) {
    const double whole = distance(corners[i - 1], corners[i]);
    const int n = std::max(1, static_cast<int>(std::ceil(whole / kLongestSegment_px)));
    for (int k = 1; k <= n; ++k) out.push_back(mix(corners[i - 1], corners[i], double(k) / n));
  }
  return out;
}

struct PixelRange {
  int x0, y0, x1, y1;  // x1 and y1 are not included
};

PixelRange pixels_in(const Box& box, cv::Size size) {
  const auto first = [](double v, int n) {
    return static_cast<int>(std::floor(std::clamp(v, 0.0, double(n))));
  };
  const auto last = [](double v, int n) {
    return static_cast<int>(std::ceil(std::clamp(v, 0.0, double(n))));
  };
  return {first(box.min.x, size.width),
          first(box.min.y, size.height),
          last(box.max.x, size.width),
          last(box.max.y, size.height)};
}

}  // namespace

std::vector<NearPixel> pixels_near(const Path& path_px, double reach_px, cv::Size size) {
  std::vector<NearPixel> out;
  std::vector<Vec2> line = short_segments(path_px);
  if (line.empty()) return out;
  if (line.size() == 1) line.push_back(line.front());

  Box box;
  for (const Vec2 p : line) box.add(p);
  const PixelRange tile = pixels_in(box.grown(reach_px), size);
  if (tile.x0 >= tile.x1 || tile.y0 >= tile.y1) return out;
  const auto tile_width = static_cast<std::size_t>(tile.x1 - tile.x0);
  std::vector<std::int32_t> slot(tile_width * static_cast<std::size_t>(tile.y1 - tile.y0), -1);

  double along = 0.0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    const Vec2 from = line[i - 1];
    const double long_px = distance(from, line[i]);
    const Vec2 ahead = normalized(line[i] - from);
    Box reach;
    reach.add(from);
    reach.add(line[i]);
    const PixelRange range = pixels_in(reach.grown(reach_px), size);
    for (int y = range.y0; y < range.y1; ++y) {
      for (int x = range.x0; x < range.x1; ++x) {
        const Vec2 centre{x + 0.5, y + 0.5};
        const double t = std::clamp(dot(centre - from, ahead), 0.0, long_px);
        const Vec2 away = centre - (from + ahead * t);
        const double off = length(away);
        if (off > reach_px) continue;
        auto& index = slot[static_cast<std::size_t>(y - tile.y0) * tile_width +
                           static_cast<std::size_t>(x - tile.x0)];
        if (index < 0) {
          index = static_cast<std::int32_t>(out.size());
          out.push_back({x, y, off + 1.0, 0.0, {}});
        }
        NearPixel& pixel = out[static_cast<std::size_t>(index)];
        if (off >= pixel.off_px) continue;
        pixel.off_px = off;
        pixel.along_px = along + t;
        // On the line itself the direction across is the segment's own.
        pixel.away = off > 1e-9 ? away / off : (long_px > 0.0 ? perpendicular(ahead) : Vec2{1, 0});
      }
    }
    along += long_px;
  }
  return out;
}

double covered_share(const NearPixel& pixel, double half_width_px, double blur_px) {
  const double near_edge = half_width_px - pixel.off_px;
  const double far_edge = -half_width_px - pixel.off_px;
  if (blur_px <= 0.0) {
    return half_plane_share(near_edge, pixel.away) - half_plane_share(far_edge, pixel.away);
  }
  // The square pixel adds a variance of 1/12 in every direction to that of the lens.
  const double spread = std::sqrt(2.0 * (blur_px * blur_px + 1.0 / 12.0));
  return 0.5 * (std::erf(near_edge / spread) - std::erf(far_edge / spread));
}

double coverage_reach_px(double blur_px) { return 0.75 + 3.5 * blur_px; }

cv::Mat area_coverage(const Area& area_px, cv::Size size) {
  constexpr int kRows = 8;  // scan lines a pixel; exact along each
  cv::Mat out(size, CV_32FC1, cv::Scalar(0));
  std::vector<std::vector<double>> crossings(static_cast<std::size_t>(size.height) * kRows);
  for (const Path& ring : area_px.rings) {
    const std::vector<Vec2> line = flatten(ring, kFlatness_px);
    for (std::size_t i = 0; i < line.size(); ++i) {
      Vec2 a = line[i];
      Vec2 b = line[(i + 1) % line.size()];
      if (a.y > b.y) std::swap(a, b);
      // Scan line k lies at (k + 0.5) / kRows.
      const auto first = static_cast<long>(std::ceil(std::max(a.y, 0.0) * kRows - 0.5));
      const auto end =
          static_cast<long>(std::ceil(std::clamp(b.y, 0.0, double(size.height)) * kRows - 0.5));
      for (long k = first; k < end; ++k) {
        const double y = (static_cast<double>(k) + 0.5) / kRows;
        crossings[static_cast<std::size_t>(k)].push_back(a.x +
                                                         (b.x - a.x) * (y - a.y) / (b.y - a.y));
      }
    }
  }
  for (std::size_t k = 0; k < crossings.size(); ++k) {
    std::vector<double>& xs = crossings[k];
    std::sort(xs.begin(), xs.end());
    auto* row = out.ptr<float>(static_cast<int>(k / kRows));
    for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
      const double from = std::clamp(xs[i], 0.0, double(size.width));
      const double to = std::clamp(xs[i + 1], 0.0, double(size.width));
      for (int x = static_cast<int>(from); x < to; ++x) {
        const double share = std::min(to, x + 1.0) - std::max(from, double(x));
        row[x] += static_cast<float>(share / kRows);
      }
    }
  }
  return out;
}

cv::Mat draw_clean(const Linework& lines_mm, double px_per_mm, cv::Size size) {
  cv::Mat blank(size, CV_32FC1, cv::Scalar(1));  // share of the paper that stays bare
  const Linework lines = transformed(lines_mm, Affine::scale(px_per_mm));
  for (const Stroke& stroke : lines.strokes) {
    const double half = stroke.width_mm / 2.0;  // px by now
    for (const NearPixel& pixel : pixels_near(stroke.path, half + coverage_reach_px(), size)) {
      blank.at<float>(pixel.y, pixel.x) *= static_cast<float>(1.0 - covered_share(pixel, half));
    }
  }
  for (const Area& area : lines.areas) {
    blank = blank.mul(cv::Scalar(1) - area_coverage(area, size));
  }
  cv::Mat out;
  blank.convertTo(out, CV_8UC1, 255.0);
  return out;
}

}  // namespace underdraw::test
