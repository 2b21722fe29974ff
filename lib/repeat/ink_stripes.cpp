#include "repeat/ink_stripes.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr int kDirections = 180;  // of profiles
constexpr int kCorridorDirections = 720;
constexpr double kAlongStep = 2.5;     // of the step between lines
constexpr double kShortestLine = 0.5;  // of the longest

class Window {
 public:
  Window(const InkRaster& raster, Vec2 centre, double size_mm, double deg, double step_mm)
      : raster_(raster),
        centre_(centre),
        along_{std::cos(radians(deg)), std::sin(radians(deg))},
        half_(size_mm / 2.0),
        step_(kAlongStep * step_mm) {}

  struct Line {
    int ink = 0, seen = 0;
  };
  Line line(double aside_mm) const {
    Line line;
    const Vec2 middle = centre_ + perpendicular(along_) * aside_mm;
    const int half = static_cast<int>(half_ / step_);
    for (int u = -half; u <= half; ++u) {
      const Cell cell = raster_.at(middle + along_ * (u * step_));
      if (cell == Cell::outside) continue;
      ++line.seen;
      if (cell == Cell::ink) ++line.ink;
    }
    return line;
  }

 private:
  const InkRaster& raster_;
  Vec2 centre_, along_;
  double half_, step_;
};

struct InkProfile {
  double variation = 0.0;
  int longest = 0;
};

InkProfile profile_of(const Window& window, double size_mm, double step_mm) {
  const int half = static_cast<int>(size_mm / 2.0 / step_mm);
  std::vector<Window::Line> lines;
  InkProfile out;
  for (int t = -half; t <= half; ++t) {
    lines.push_back(window.line(t * step_mm));
    out.longest = std::max(out.longest, lines.back().seen);
  }
  double sum = 0.0, squares = 0.0;
  int count = 0;
  for (const Window::Line& line : lines) {
    if (line.seen <= kShortestLine * out.longest) continue;
    const double share = static_cast<double>(line.ink) / line.seen;
    sum += share;
    squares += share * share;
    ++count;
  }
  if (count == 0 || sum <= 0.0) return out;
  const double mean = sum / count;
  out.variation = std::sqrt(std::max(0.0, squares / count - mean * mean)) / mean;
  return out;
}

// Corners of the outline that can be its outermost in some direction.
std::vector<Vec2> hull_of(const Rings& rings) {
  Ring points;
  for (const Ring& ring : rings) points.insert(points.end(), ring.begin(), ring.end());
  return convex_hull(std::move(points));
}

// Everything that may lie in a window, images over the sides included, about the window's middle.
std::vector<std::vector<Vec2>> hulls_in(const SpacedPlane& plane,
                                        const std::vector<std::vector<Vec2>>& hulls,
                                        Vec2 centre,
                                        double size_mm) {
  const double reach = size_mm * std::numbers::sqrt2 / 2.0;
  const int wide = plane.wraps_across ? static_cast<int>(std::ceil(reach / plane.width_mm)) + 1 : 0;
  const int high = plane.wraps_along ? static_cast<int>(std::ceil(reach / plane.height_mm)) + 1 : 0;
  std::vector<std::vector<Vec2>> out;
  for (const auto& hull : hulls) {
    Box box;
    for (const Vec2 p : hull) box.add(p - centre);
    const double radius = std::hypot(box.width(), box.height()) / 2.0;
    for (int y = -high; y <= high; ++y) {
      for (int x = -wide; x <= wide; ++x) {
        const Vec2 off = Vec2{x * plane.width_mm, y * plane.height_mm} - centre;
        if (length(box.centre() + off + centre) > reach + radius) continue;
        auto& moved = out.emplace_back(hull);
        for (Vec2& p : moved) p += off;
      }
    }
  }
  return out;
}

struct Span {
  double from, to;
};

// The gaps that no hull reaches into, seen along a direction.
std::vector<Span> bare_spans(const std::vector<std::vector<Vec2>>& hulls,
                             double half_mm,
                             double deg) {
  const Vec2 along{std::cos(radians(deg)), std::sin(radians(deg))};
  const Vec2 aside = perpendicular(along);
  std::vector<Span> ink;
  for (const auto& hull : hulls) {
    Span across{1e300, -1e300}, length{1e300, -1e300};
    for (const Vec2 p : hull) {
      const double t = dot(p, aside), u = dot(p, along);
      across = {std::min(across.from, t), std::max(across.to, t)};
      length = {std::min(length.from, u), std::max(length.to, u)};
    }
    if (length.to < -half_mm || length.from > half_mm) continue;
    ink.push_back(across);
  }
  std::sort(ink.begin(), ink.end(), [](const Span& a, const Span& b) { return a.from < b.from; });
  std::vector<Span> bare;
  for (std::size_t i = 0; i < ink.size(); ++i) {
    if (i > 0 && ink[i].from > ink[i - 1].to) bare.push_back({ink[i - 1].to, ink[i].from});
    if (i > 0) ink[i].to = std::max(ink[i].to, ink[i - 1].to);
  }
  return bare;
}

}  // namespace

Stripes look_for_stripes(const SpacedPlane& plane,
                         const InkRaster& raster,
                         double window_mm,
                         double step_mm) {
  const auto parts = [&](double size) {
    return std::max(1, static_cast<int>(std::round(size / window_mm)));
  };
  const int across = parts(plane.width_mm), down = parts(plane.height_mm);
  std::vector<Vec2> centres;
  for (int r = 0; r < down; ++r) {
    for (int c = 0; c < across; ++c) {
      centres.push_back({(c + 0.5) * plane.width_mm / across, (r + 0.5) * plane.height_mm / down});
    }
  }
  const std::size_t windows = centres.size();
  std::vector<InkProfile> profiles(windows * kDirections);
  parallel_for(profiles.size(), [&](std::size_t k) {
    const double deg = static_cast<double>(k % kDirections) * 180.0 / kDirections;
    profiles[k] = profile_of(
        Window(raster, centres[k / kDirections], window_mm, deg, step_mm), window_mm, step_mm);
  });
  Stripes out;
  for (std::size_t w = 0; w < windows; ++w) {
    const auto from = profiles.begin() + static_cast<std::ptrdiff_t>(w * kDirections);
    const auto most = std::max_element(from, from + kDirections, [](const auto& a, const auto& b) {
      return a.variation < b.variation;
    });
    out.variation += most->variation / static_cast<double>(windows);
    if (w == 0) out.variation_deg = static_cast<double>(most - from) * 180.0 / kDirections;
  }
  std::vector<std::vector<Vec2>> hulls;
  for (const SpacedShape& shape : plane.shapes) hulls.push_back(hull_of(shape.outline));
  std::vector<double> corridors(windows * kCorridorDirections, 0.0);
  for (std::size_t w = 0; w < windows; ++w) {
    const std::vector<std::vector<Vec2>> near = hulls_in(plane, hulls, centres[w], window_mm);
    parallel_for(kCorridorDirections, [&](std::size_t d) {
      const double deg = static_cast<double>(d) * 180.0 / kCorridorDirections;
      const Window window(raster, centres[w], window_mm, deg, step_mm);
      const int longest = profiles[w * kDirections + d * kDirections / kCorridorDirections].longest;
      double& widest = corridors[w * kCorridorDirections + d];
      for (const Span& bare : bare_spans(near, window_mm / 2.0, deg)) {
        const double middle = (bare.from + bare.to) / 2.0;
        if (std::abs(middle) > window_mm / 2.0 || bare.to - bare.from <= widest) continue;
        if (window.line(middle).seen > kShortestLine * longest) widest = bare.to - bare.from;
      }
    });
  }
  const auto widest = std::max_element(corridors.begin(), corridors.end());
  out.corridor_mm = *widest;
  out.corridor_deg = static_cast<double>((widest - corridors.begin()) % kCorridorDirections) *
                     180.0 / kCorridorDirections;
  return out;
}

}  // namespace underdraw
