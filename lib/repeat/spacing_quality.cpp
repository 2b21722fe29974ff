#include "repeat/spacing_quality.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "core/parallel.h"
#include "repeat/ink_raster.h"
#include "repeat/ink_stripes.h"
#include "repeat/scatter_form.h"

namespace underdraw {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kWindowPitches = 16.0;
constexpr double kCellsInPitch = 32.0;
constexpr double kRowReach = 4.0;   // pitches
constexpr double kRowWithin = 0.2;  // of a pitch
constexpr double kThinMm = 0.01;    // of outlines, for gaps

Vec2 middle_of(const SpacedShape& shape) { return box_of(shape.outline).centre(); }

// The shorter way over sides that wrap.
Vec2 way(const SpacedPlane& plane, Vec2 from, Vec2 to) {
  Vec2 d = to - from;
  if (plane.wraps_across) d.x -= plane.width_mm * std::round(d.x / plane.width_mm);
  if (plane.wraps_along) d.y -= plane.height_mm * std::round(d.y / plane.height_mm);
  return d;
}

// Middles in a grid of squares.
class Near {
 public:
  Near(const SpacedPlane& plane, const std::vector<Vec2>& middles, double cell_mm)
      : plane_(plane),
        columns_(std::max(1, static_cast<int>(plane.width_mm / cell_mm))),
        rows_(std::max(1, static_cast<int>(plane.height_mm / cell_mm))),
        cells_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_)) {
    for (std::size_t i = 0; i < middles.size(); ++i) {
      cell(column(middles[i].x), row(middles[i].y)).push_back(i);
    }
  }

  template <typename Visit>
  void each(Vec2 at, double reach_mm, Visit visit) const {
    const auto span = [&](double x, double size, int count, bool wraps) {
      const double step = size / count;
      int from = static_cast<int>(std::floor((x - reach_mm) / step));
      int to = static_cast<int>(std::floor((x + reach_mm) / step));
      if (!wraps) {
        from = std::clamp(from, 0, count - 1);
        to = std::clamp(to, 0, count - 1);
      } else if (to - from >= count) {
        from = 0;
        to = count - 1;
      }
      return std::pair{from, to};
    };
    const auto [left, right] = span(at.x, plane_.width_mm, columns_, plane_.wraps_across);
    const auto [top, bottom] = span(at.y, plane_.height_mm, rows_, plane_.wraps_along);
    for (int r = top; r <= bottom; ++r) {
      for (int c = left; c <= right; ++c) {
        for (const std::size_t i : cells_[index(c, r)]) visit(i);
      }
    }
  }

 private:
  int column(double x) const {
    return static_cast<int>(std::floor(x / plane_.width_mm * columns_));
  }
  int row(double y) const { return static_cast<int>(std::floor(y / plane_.height_mm * rows_)); }
  std::size_t index(int c, int r) const {
    const auto fold = [](int i, int count, bool wraps) {
      return wraps ? ((i % count) + count) % count : std::clamp(i, 0, count - 1);
    };
    return static_cast<std::size_t>(fold(r, rows_, plane_.wraps_along)) *
               static_cast<std::size_t>(columns_) +
           static_cast<std::size_t>(fold(c, columns_, plane_.wraps_across));
  }
  std::vector<std::size_t>& cell(int c, int r) { return cells_[index(c, r)]; }

  const SpacedPlane& plane_;
  int columns_, rows_;
  std::vector<std::vector<std::size_t>> cells_;
};

double gap_of(const Rings& a, const Rings& b, Vec2 b_moved, double beyond) {
  double gap = beyond;
  Box box;
  for (const auto& ring : b) {
    for (const Vec2 p : ring) box.add(p + b_moved);
  }
  const auto corners = [&](const Rings& first, Vec2 first_moved, const Rings& second, Vec2 moved) {
    for (const auto& ring : first) {
      for (const Vec2 corner : ring) {
        const Vec2 p = corner + first_moved;
        for (const auto& other : second) {
          for (std::size_t i = 0, j = other.size() - 1; i < other.size(); j = i++) {
            gap = std::min(gap, distance_to_segment(p - moved, other[i], other[j]));
          }
        }
      }
    }
  };
  Rings close_a;
  // Only the part of a that can be this near.
  for (const auto& ring : a) {
    auto& kept = close_a.emplace_back();
    for (const Vec2 p : ring) {
      if (box.grown(gap).contains(p)) kept.push_back(p);
    }
  }
  corners(close_a, {}, b, b_moved);
  const Box box_a = box_of(a);
  Rings close_b;
  for (const auto& ring : b) {
    auto& kept = close_b.emplace_back();
    for (const Vec2 p : ring) {
      if (box_a.grown(gap).contains(p + b_moved)) kept.push_back(p);
    }
  }
  corners(close_b, b_moved, a, {});
  return gap;
}

void measure_gaps(const SpacedPlane& plane,
                  const std::vector<Vec2>& middles,
                  const Near& near,
                  double pitch,
                  SpacingQuality& out) {
  const std::size_t n = middles.size();
  std::vector<Rings> thin(n);
  std::vector<double> radii(n, 0.0);
  double largest = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    for (const auto& ring : plane.shapes[i].outline) {
      thin[i].push_back(thinned_ring(ring, kThinMm));
      for (const Vec2 p : ring) radii[i] = std::max(radii[i], distance(p, middles[i]));
    }
    largest = std::max(largest, radii[i]);
  }
  std::vector<double> gaps(n, kInfinity);
  std::vector<char> same(n, 0);
  parallel_for(n, [&](std::size_t i) {
    double& best = gaps[i];
    for (double reach = 2.0 * pitch; best == kInfinity; reach *= 2.0) {
      std::vector<std::pair<double, std::size_t>> order;
      near.each(middles[i], radii[i] + largest + reach, [&](std::size_t j) {
        if (j == i) return;
        const double least = length(way(plane, middles[i], middles[j])) - radii[i] - radii[j];
        if (least < reach) order.emplace_back(least, j);
      });
      std::sort(order.begin(), order.end());
      for (const auto& [least, j] : order) {
        if (least >= best) break;
        const Vec2 d = way(plane, middles[i], middles[j]);
        const double gap =
            gap_of(thin[i], thin[j], middles[i] + d - middles[j], std::min(best, reach));
        if (gap < std::min(best, reach)) {
          best = gap;
          same[i] = plane.shapes[i].kin == plane.shapes[j].kin ? 1 : 0;
        }
      }
      if (reach > plane.width_mm + plane.height_mm) break;
    }
  });
  std::sort(gaps.begin(), gaps.end());
  out.smallest_gap_mm = gaps.front();
  out.median_gap_mm = gaps[n / 2];
  out.same_neighbour_share =
      static_cast<double>(std::count(same.begin(), same.end(), 1)) / static_cast<double>(n);
}

void measure_middles(const SpacedPlane& plane,
                     const std::vector<Vec2>& middles,
                     const Near& near,
                     double pitch,
                     double area,
                     SpacingQuality& out) {
  const double n = static_cast<double>(middles.size());
  double sum = 0.0, squares = 0.0, least = kInfinity;
  for (std::size_t i = 0; i < middles.size(); ++i) {
    double best = kInfinity;
    for (double reach = 2.0 * pitch; best > reach; reach *= 2.0) {
      near.each(middles[i], reach, [&](std::size_t j) {
        if (j != i) best = std::min(best, length(way(plane, middles[i], middles[j])));
      });
      if (reach > plane.width_mm + plane.height_mm) break;
    }
    sum += best;
    squares += best * best;
    least = std::min(least, best);
  }
  out.nearest_mean_mm = sum / n;
  const double variance = std::max(0.0, squares / n - out.nearest_mean_mm * out.nearest_mean_mm);
  out.nearest_cv = std::sqrt(variance) / out.nearest_mean_mm;
  out.clark_evans = out.nearest_mean_mm * 2.0 * std::sqrt(n / area);
  out.relative_radius = least / std::sqrt(2.0 / std::sqrt(3.0) * area / n);
}

void measure_rows(const SpacedPlane& plane,
                  const std::vector<Vec2>& middles,
                  const Near& near,
                  double pitch,
                  SpacingQuality& out) {
  // Offsets counted in fine squares, then summed over the disc of offsets that count as the same.
  const double cell = kRowWithin * pitch / 4.0;
  const int half = static_cast<int>(std::ceil(kRowReach * pitch / cell));
  const int reach = 4;
  const int side = 2 * (half + reach) + 1;
  std::vector<int> counts(static_cast<std::size_t>(side) * static_cast<std::size_t>(side), 0);
  const auto at = [&](int x, int y) -> int& {
    return counts[static_cast<std::size_t>(y + half + reach) * static_cast<std::size_t>(side) +
                  static_cast<std::size_t>(x + half + reach)];
  };
  for (std::size_t i = 0; i < middles.size(); ++i) {
    near.each(middles[i], kRowReach * pitch, [&](std::size_t j) {
      if (j == i) return;
      const Vec2 d = way(plane, middles[i], middles[j]);
      const int x = static_cast<int>(std::lround(d.x / cell));
      const int y = static_cast<int>(std::lround(d.y / cell));
      if (std::abs(x) <= half && std::abs(y) <= half) ++at(x, y);
    });
  }
  int most = 0;
  for (int y = -half; y <= half; ++y) {
    for (int x = -half; x <= half; ++x) {
      if (x * x + y * y > half * half) continue;
      int sum = 0;
      for (int dy = -reach; dy <= reach; ++dy) {
        for (int dx = -reach; dx <= reach; ++dx) {
          if (dx * dx + dy * dy <= reach * reach) sum += at(x + dx, y + dy);
        }
      }
      most = std::max(most, sum);
    }
  }
  out.row_strength = static_cast<double>(most) / static_cast<double>(middles.size());
}

// The furthest that a spot is from ink: from the emptiest cells uphill, on the outlines themselves.
double largest_empty(const SpacedPlane& plane,
                     const InkRaster& raster,
                     const std::vector<Vec2>& middles,
                     const Near& near,
                     double pitch) {
  constexpr std::size_t kStarts = 40;
  const double most_mm = 4.0 * pitch;
  double radius = 0.0;
  for (std::size_t i = 0; i < middles.size(); ++i) {
    for (const auto& ring : plane.shapes[i].outline) {
      for (const Vec2 p : ring) radius = std::max(radius, distance(p, middles[i]));
    }
  }
  const auto away = [&](Vec2 spot) {
    double least = most_mm;
    near.each(spot, radius + most_mm, [&](std::size_t i) {
      const Vec2 here = middles[i] - way(plane, spot, middles[i]);
      for (const auto& ring : plane.shapes[i].outline) {
        for (std::size_t k = 0, j = ring.size() - 1; k < ring.size(); j = k++) {
          least = std::min(least, distance_to_segment(here, ring[j], ring[k]));
        }
      }
    });
    return least;
  };
  const std::vector<Vec2> starts = raster.emptiest(most_mm, kStarts);
  std::vector<double> found(starts.size(), 0.0);
  parallel_for(starts.size(), [&](std::size_t s) {
    Vec2 spot = starts[s];
    double best = away(spot);
    for (double step = pitch / kCellsInPitch; step > 1e-3 * pitch; step /= 2.0) {
      for (const Vec2 off : {Vec2{1, 0}, Vec2{-1, 0}, Vec2{0, 1}, Vec2{0, -1}}) {
        const Vec2 next = spot + off * step;
        if (raster.at(next) != Cell::bare) continue;
        const double there = away(next);
        if (there > best) {
          best = there;
          spot = next;
        }
      }
    }
    found[s] = best;
  });
  return found.empty() ? 0.0 : *std::max_element(found.begin(), found.end());
}

}  // namespace

SpacingQuality spacing_quality(const SpacedPlane& plane) {
  SpacingQuality out;
  const std::size_t n = plane.shapes.size();
  if (n == 0) return out;
  std::vector<Vec2> middles;
  double ink = 0.0, radius = 0.0;
  for (const SpacedShape& shape : plane.shapes) {
    middles.push_back(middle_of(shape));
    const double area = covered_area(shape.outline);
    ink += area;
    radius += std::sqrt(area / std::numbers::pi) / static_cast<double>(n);
  }
  double area = plane.width_mm * plane.height_mm;
  if (!plane.blocked.empty()) {
    SpacedPlane zones = plane;
    zones.shapes.clear();
    zones.border_mm = 0.0;
    const double cell = std::sqrt(area / static_cast<double>(n)) / kCellsInPitch;
    area *= 1.0 - InkRaster(zones, cell).share(Cell::outside);
  }
  const double pitch = std::sqrt(area / static_cast<double>(n));
  out.coverage = ink / area;
  const Near near(plane, middles, 1.5 * pitch);
  if (n > 1) {
    measure_gaps(plane, middles, near, pitch, out);
    measure_middles(plane, middles, near, pitch, area, out);
    measure_rows(plane, middles, near, pitch, out);
  }
  const InkRaster raster(plane, pitch / kCellsInPitch);
  const Stripes stripes =
      look_for_stripes(plane, raster, kWindowPitches * pitch, pitch / kCellsInPitch);
  out.corridor_mm = stripes.corridor_mm;
  out.corridor_deg = stripes.corridor_deg;
  out.profile_variation = stripes.variation;
  out.profile_deg = stripes.variation_deg;
  const double mean_gap = pitch - 2.0 * radius;
  out.corridor_share = mean_gap > 0.0 ? out.corridor_mm / mean_gap : 0.0;
  out.empty_mm = largest_empty(plane, raster, middles, near, pitch);
  out.empty_radii = radius > 0.0 ? out.empty_mm / radius : 0.0;
  return out;
}

SpacedPlane spaced_plane_of(const Surface& surface,
                            const std::vector<SpacedShape>& shapes,
                            const std::vector<Rings>& blocked,
                            double border_mm) {
  SpacedPlane plane;
  plane.height_mm = surface.along_mm();
  plane.wraps_across = surface.round();
  plane.border_mm = border_mm;
  double per_across = 1.0;
  if (surface.round()) {
    plane.width_mm = surface.area_mm2() / surface.along_mm();
    per_across = plane.width_mm / 360.0;
  } else {
    plane.width_mm = surface.width_mm(0.0);
  }
  const bool upward = surface.up_per_along() > 0.0;
  const auto moved = [&](const Rings& rings) {
    Rings out = rings;
    for (auto& ring : out) {
      for (Vec2& p : ring) {
        p = {p.x * per_across, upward ? plane.height_mm - p.y : p.y};
      }
      if (upward) std::reverse(ring.begin(), ring.end());
    }
    return out;
  };
  for (const SpacedShape& shape : shapes) plane.shapes.push_back({moved(shape.outline), shape.kin});
  for (const Rings& zone : blocked) plane.blocked.push_back(moved(zone));
  if (!surface.outline().empty()) {
    // Everything between the rectangle and the outline.
    Rings beside = surface.outline();
    const double w = plane.width_mm, h = plane.height_mm;
    beside.push_back({{0.0, 0.0}, {w, 0.0}, {w, h}, {0.0, h}});
    plane.blocked.push_back(std::move(beside));
  }
  return plane;
}

}  // namespace underdraw
