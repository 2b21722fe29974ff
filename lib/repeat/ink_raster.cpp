#include "repeat/ink_raster.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

int wrapped(int i, int count) { return ((i % count) + count) % count; }

// Squared distances along one line, in place: the lower envelope of parabolas.
void transform_line(std::vector<double>& value, double step) {
  const int n = static_cast<int>(value.size());
  std::vector<int> apex(value.size());
  std::vector<double> from(value.size() + 1);
  const std::vector<double> f = value;
  int k = -1;
  const auto at = [&](int i) { return f[static_cast<std::size_t>(i)]; };
  for (int q = 0; q < n; ++q) {
    if (at(q) >= 1e200) continue;
    double meet = -1e300;
    while (k >= 0) {
      const int v = apex[static_cast<std::size_t>(k)];
      meet = ((at(q) + step * step * q * q) - (at(v) + step * step * v * v)) /
             (2.0 * step * step * (q - v));
      if (meet > from[static_cast<std::size_t>(k)]) break;
      --k;
      meet = -1e300;
    }
    ++k;
    apex[static_cast<std::size_t>(k)] = q;
    from[static_cast<std::size_t>(k)] = meet;
  }
  if (k < 0) return;
  int here = 0;
  for (int q = 0; q < n; ++q) {
    while (here < k && from[static_cast<std::size_t>(here) + 1] < q) ++here;
    const int v = apex[static_cast<std::size_t>(here)];
    value[static_cast<std::size_t>(q)] = step * step * (q - v) * (q - v) + at(v);
  }
}

}  // namespace

InkRaster::InkRaster(const SpacedPlane& plane, double cell_mm)
    : columns_(std::max(1, static_cast<int>(std::round(plane.width_mm / cell_mm)))),
      rows_(std::max(1, static_cast<int>(std::round(plane.height_mm / cell_mm)))),
      cell_x_(plane.width_mm / columns_),
      cell_y_(plane.height_mm / rows_),
      wraps_across_(plane.wraps_across),
      wraps_along_(plane.wraps_along) {
  cells_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), Cell::bare);
  for (const SpacedShape& shape : plane.shapes) fill(shape.outline, Cell::ink);
  for (const Rings& zone : plane.blocked) fill(zone, Cell::outside);
  for (int r = 0; r < rows_; ++r) {
    for (int c = 0; c < columns_; ++c) {
      const double x = (c + 0.5) * cell_x_, y = (r + 0.5) * cell_y_;
      const bool beside = !wraps_across_ && std::min(x, plane.width_mm - x) < plane.border_mm;
      const bool above = !wraps_along_ && std::min(y, plane.height_mm - y) < plane.border_mm;
      if (beside || above) cells_[index(c, r)] = Cell::outside;
    }
  }
}

void InkRaster::fill(const Rings& rings, Cell kind) {
  const Box box = box_of(rings);
  if (box.empty()) return;
  std::vector<double> cuts;
  for (int r = static_cast<int>(std::floor(box.min.y / cell_y_));
       r <= static_cast<int>(std::floor(box.max.y / cell_y_));
       ++r) {
    if (!wraps_along_ && (r < 0 || r >= rows_)) continue;
    const double y = (r + 0.5) * cell_y_;
    cuts.clear();
    for (const auto& ring : rings) {
      for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        const Vec2 a = ring[i], b = ring[j];
        if ((a.y > y) != (b.y > y)) cuts.push_back(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
      }
    }
    std::sort(cuts.begin(), cuts.end());
    for (std::size_t k = 0; k + 1 < cuts.size(); k += 2) {
      const int from = static_cast<int>(std::ceil(cuts[k] / cell_x_ - 0.5));
      const int to = static_cast<int>(std::ceil(cuts[k + 1] / cell_x_ - 0.5));
      for (int c = from; c < to; ++c) {
        if (!wraps_across_ && (c < 0 || c >= columns_)) continue;
        cells_[index(wrapped(c, columns_), wrapped(r, rows_))] = kind;
      }
    }
  }
}

double InkRaster::share(Cell kind) const {
  return static_cast<double>(std::count(cells_.begin(), cells_.end(), kind)) /
         static_cast<double>(cells_.size());
}

std::vector<Vec2> InkRaster::emptiest(double most_mm, std::size_t count) const {
  // Sides that wrap are looked over, as far as it matters.
  const int pad_x = wraps_across_ ? static_cast<int>(std::ceil(most_mm / cell_x_)) : 0;
  const int pad_y = wraps_along_ ? static_cast<int>(std::ceil(most_mm / cell_y_)) : 0;
  const int wide = columns_ + 2 * pad_x, high = rows_ + 2 * pad_y;
  std::vector<std::vector<double>> square(static_cast<std::size_t>(high));
  for (int r = 0; r < high; ++r) {
    auto& line = square[static_cast<std::size_t>(r)];
    line.resize(static_cast<std::size_t>(wide));
    for (int c = 0; c < wide; ++c) {
      const Cell cell = cells_[index(wrapped(c - pad_x, columns_), wrapped(r - pad_y, rows_))];
      line[static_cast<std::size_t>(c)] = cell == Cell::ink ? 0.0 : 1e300;
    }
    transform_line(line, cell_x_);
  }
  std::vector<std::pair<double, Vec2>> bare;  // distance, spot
  double most = 0.0;
  std::vector<double> column(static_cast<std::size_t>(high));
  for (int c = 0; c < columns_; ++c) {
    for (int r = 0; r < high; ++r) {
      column[static_cast<std::size_t>(r)] =
          square[static_cast<std::size_t>(r)][static_cast<std::size_t>(c + pad_x)];
    }
    transform_line(column, cell_y_);
    for (int r = 0; r < rows_; ++r) {
      if (cells_[index(c, r)] != Cell::bare) continue;
      const double mm = std::sqrt(column[static_cast<std::size_t>(r + pad_y)]);
      if (mm < most - cell_x_) continue;
      most = std::max(most, mm);
      bare.push_back({mm, {(c + 0.5) * cell_x_, (r + 0.5) * cell_y_}});
    }
  }
  std::stable_sort(
      bare.begin(), bare.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<Vec2> out;
  for (const auto& [mm, spot] : bare) {
    if (out.size() >= count || mm < most - cell_x_) break;
    out.push_back(spot);
  }
  return out;
}

}  // namespace underdraw
