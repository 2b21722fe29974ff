#include "repeat/edge_field.h"

#include <algorithm>
#include <cmath>

namespace underdraw {

EdgeField::EdgeField(const Rings& rings, double reach_mm) : reach_(reach_mm) {
  double length = 0.0;
  for (std::uint32_t r = 0; r < rings.size(); ++r) {
    std::vector<Vec2> ring;  // without points that lie on one another
    for (const Vec2 p : rings[r]) {
      if (ring.empty() || ring.back() != p) ring.push_back(p);
    }
    while (ring.size() > 1 && ring.back() == ring.front()) ring.pop_back();
    if (ring.size() < 3) continue;
    const auto first = static_cast<std::uint32_t>(edges_.size());
    const auto count = static_cast<std::uint32_t>(ring.size());
    for (std::uint32_t i = 0; i < count; ++i) {
      edges_.push_back({ring[i],
                        ring[(i + 1) % count],
                        r,
                        first + (i + count - 1) % count,
                        first + (i + 1) % count});
      length += distance(ring[i], ring[(i + 1) % count]);
      box_.add(ring[i]);
    }
  }
  if (edges_.empty()) return;
  // Two cells all round hold what is within reach; about as many cells as edges.
  cell_ = std::max(reach_ / 1.9, 1e-6);
  cell_ = std::max(cell_, 2.0 * length / static_cast<double>(edges_.size()));
  const double cells = 8.0 * static_cast<double>(edges_.size()) + 64.0;
  cell_ = std::max(cell_, std::sqrt(box_.width() * box_.height() / cells));
  cell_ = std::max(cell_, std::max(box_.width(), box_.height()) / cells);
  columns_ = column_of(box_.max.x) + 1;
  rows_ = row_of(box_.max.y) + 1;
  const auto each_cell = [&](const Edge& edge, auto call) {
    Box box;
    box.add(edge.a);
    box.add(edge.b);
    for (std::int64_t y = row_of(box.min.y); y <= row_of(box.max.y); ++y) {
      for (std::int64_t x = column_of(box.min.x); x <= column_of(box.max.x); ++x) {
        call(cell_at(x, y));
      }
    }
  };
  starts_.assign(static_cast<std::size_t>(columns_ * rows_) + 1, 0);
  for (const Edge& edge : edges_) {
    each_cell(edge, [&](std::size_t c) { ++starts_[c + 1]; });
  }
  for (std::size_t c = 0; c + 1 < starts_.size(); ++c) starts_[c + 1] += starts_[c];
  members_.resize(starts_.back());
  std::vector<std::uint32_t> next(starts_.begin(), starts_.end() - 1);
  for (std::uint32_t i = 0; i < edges_.size(); ++i) {
    each_cell(edges_[i], [&](std::size_t c) { members_[next[c]++] = i; });
  }
  find_sides();
  find_rooms();
}

std::int64_t EdgeField::column_of(double x) const {
  return static_cast<std::int64_t>(std::floor((x - box_.min.x) / cell_));
}

std::int64_t EdgeField::row_of(double y) const {
  return static_cast<std::int64_t>(std::floor((y - box_.min.y) / cell_));
}

// Along the middle of each row of cells, every edge crossed changes the side.
void EdgeField::find_sides() {
  std::vector<std::vector<double>> crossings(static_cast<std::size_t>(rows_));
  for (const Edge& edge : edges_) {
    const double low = std::min(edge.a.y, edge.b.y);
    const double high = std::max(edge.a.y, edge.b.y);
    for (std::int64_t row = row_of(low); row <= row_of(high); ++row) {
      const double y = box_.min.y + (static_cast<double>(row) + 0.5) * cell_;
      if ((edge.a.y > y) == (edge.b.y > y)) continue;
      crossings[static_cast<std::size_t>(row)].push_back(
          edge.a.x + (edge.b.x - edge.a.x) * (y - edge.a.y) / (edge.b.y - edge.a.y));
    }
  }
  inside_.assign(static_cast<std::size_t>(columns_ * rows_), 0);
  for (std::int64_t row = 0; row < rows_; ++row) {
    std::vector<double>& along = crossings[static_cast<std::size_t>(row)];
    std::sort(along.begin(), along.end());
    std::size_t passed = 0;
    for (std::int64_t column = 0; column < columns_; ++column) {
      const double x = box_.min.x + (static_cast<double>(column) + 0.5) * cell_;
      while (passed < along.size() && along[passed] < x) ++passed;
      inside_[cell_at(column, row)] = passed % 2 == 1;
    }
  }
}

// Steps over cells, diagonals too, from each cell to the nearest that holds an edge: a distance
// transform in two passes (A. Rosenfeld, J. L. Pfaltz, 1968).
void EdgeField::find_rooms() {
  const auto far = static_cast<std::uint32_t>(columns_ + rows_);
  rooms_.assign(inside_.size(), far);
  const auto settle = [&](std::int64_t x, std::int64_t y, std::int64_t way) {
    std::uint32_t& room = rooms_[cell_at(x, y)];
    const auto from = [&](std::int64_t nx, std::int64_t ny) {
      if (nx < 0 || ny < 0 || nx >= columns_ || ny >= rows_) return;
      room = std::min(room, rooms_[cell_at(nx, ny)] + 1);
    };
    from(x - way, y);
    for (std::int64_t dx = -1; dx <= 1; ++dx) from(x + dx, y - way);
  };
  for (std::int64_t y = 0; y < rows_; ++y) {
    for (std::int64_t x = 0; x < columns_; ++x) {
      const std::size_t cell = cell_at(x, y);
      if (starts_[cell] < starts_[cell + 1]) rooms_[cell] = 0;
      settle(x, y, 1);
    }
  }
  for (std::int64_t y = rows_ - 1; y >= 0; --y) {
    for (std::int64_t x = columns_ - 1; x >= 0; --x) settle(x, y, -1);
  }
}

// Rings run from +x towards +y round their inside, so the inside is on the side of perpendicular.
double EdgeField::side(std::uint32_t index, double t, Vec2 away) const {
  const Edge& edge = edges_[index];
  Vec2 outwards = -perpendicular(normalized(edge.b - edge.a));
  if (t <= 0.0 || t >= 1.0) {
    const Edge& other = edges_[t <= 0.0 ? edge.before : edge.after];
    outwards += -perpendicular(normalized(other.b - other.a));
  }
  return dot(outwards, away) >= 0.0 ? 1.0 : -1.0;
}

double EdgeField::at(Vec2 p) const {
  if (edges_.empty()) return std::numeric_limits<double>::infinity();
  const Vec2 held{std::clamp(p.x, box_.min.x, box_.max.x), std::clamp(p.y, box_.min.y, box_.max.y)};
  const double outside = distance(p, held);
  if (outside >= reach_) return outside;
  const std::int64_t column = column_of(p.x);
  const std::int64_t row = row_of(p.y);
  const bool in_grid = column >= 0 && column < columns_ && row >= 0 && row < rows_;
  if (in_grid && rooms_[cell_at(column, row)] >= 3) {
    const std::size_t cell = cell_at(column, row);
    const double room = (static_cast<double>(rooms_[cell]) - 1.0) * cell_;
    return inside_[cell] ? -room : room;
  }
  double least = std::numeric_limits<double>::infinity();
  std::uint32_t nearest = 0;
  double nearest_t = 0.0;
  for (std::int64_t ring = 0; ring <= 2; ++ring) {
    // Nothing in this ring of cells or beyond is nearer than this.
    if (ring > 0 && least <= static_cast<double>(ring - 1) * cell_) break;
    for (std::int64_t y = std::max<std::int64_t>(row - ring, 0);
         y <= std::min(row + ring, rows_ - 1);
         ++y) {
      const bool whole = y == row - ring || y == row + ring;
      for (std::int64_t x = column - ring; x <= column + ring; x += whole ? 1 : 2 * ring) {
        if (x >= 0 && x < columns_) {
          const std::size_t cell = cell_at(x, y);
          for (std::uint32_t k = starts_[cell]; k < starts_[cell + 1]; ++k) {
            const Edge& edge = edges_[members_[k]];
            const Vec2 d = edge.b - edge.a;
            const double t = std::clamp(dot(p - edge.a, d) / dot(d, d), 0.0, 1.0);
            const double apart = distance(p, edge.a + d * t);
            if (apart >= least) continue;
            least = apart;
            nearest = members_[k];
            nearest_t = t;
          }
        }
        if (ring == 0) break;
      }
    }
  }
  // Found within two whole cells, it is the nearest of all.
  if (least <= 2.0 * cell_) {
    const Edge& edge = edges_[nearest];
    return least * side(nearest, nearest_t, p - (edge.a + (edge.b - edge.a) * nearest_t));
  }
  // No edge in this cell, so all of it is on one side.
  return in_grid && inside_[cell_at(column, row)] ? -2.0 * cell_ : 2.0 * cell_;
}

std::vector<std::uint32_t> EdgeField::rings_near(const Box& box) const {
  std::vector<std::uint32_t> out;
  if (edges_.empty() || box.empty()) return out;
  const std::int64_t x0 = std::max<std::int64_t>(column_of(box.min.x), 0);
  const std::int64_t x1 = std::min(column_of(box.max.x), columns_ - 1);
  const std::int64_t y1 = std::min(row_of(box.max.y), rows_ - 1);
  for (std::int64_t y = std::max<std::int64_t>(row_of(box.min.y), 0); y <= y1; ++y) {
    for (std::int64_t x = x0; x <= x1; ++x) {
      const std::size_t cell = cell_at(x, y);
      for (std::uint32_t k = starts_[cell]; k < starts_[cell + 1]; ++k) {
        out.push_back(edges_[members_[k]].ring);
      }
    }
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

}  // namespace underdraw
