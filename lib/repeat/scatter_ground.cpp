#include "repeat/scatter_ground.h"

#include <algorithm>
#include <cmath>

#include "repeat/scatter_form.h"

namespace underdraw {
namespace {

constexpr int kMostNodes = 4'000'000;
constexpr Vec2 kHere{0.0, 0.0};

double nearest_turn(double deg) {
  const double a = wrapped_deg(deg);
  return a > 180.0 ? a - 360.0 : a;
}

}  // namespace

ScatterGround::ScatterGround(const Surface& surface,
                             const std::vector<ScatterObstacle>& obstacles,
                             double edge_mm,
                             double least_round_mm,
                             double reach_mm,
                             double cell_mm)
    : surface_(&surface), edge_mm_(edge_mm), reach_mm_(reach_mm), along_to_(surface.along_mm()) {
  if (surface.round()) {
    const double step = surface.along_mm() / 1000.0;
    while (along_from_ < along_to_ && surface.width_mm(along_from_) < least_round_mm) {
      along_from_ += step;
    }
    while (along_to_ > along_from_ && surface.width_mm(along_to_) < least_round_mm) {
      along_to_ -= step;
    }
  }
  const auto add = [&](const Rings& shape, double clear_mm, bool keep_inside) {
    Block block;
    block.clear_mm = clear_mm;
    block.keep_inside = keep_inside;
    for (const auto& ring : shape) {
      if (ring.size() < 3) continue;
      auto& out = block.rings.emplace_back();
      for (const Vec2 p : ring) {
        out.push_back({p.x, p.y});
        block.span.add(p);
      }
    }
    if (!block.rings.empty()) blocks_.push_back(std::move(block));
  };
  for (const ScatterObstacle& obstacle : obstacles) add(obstacle.shape, obstacle.clear_mm, false);
  if (!surface.outline().empty()) add(surface.outline(), edge_mm, true);

  const double widest = surface.widest_mm();
  const double cell = std::max(cell_mm, std::sqrt(widest * surface.along_mm() / kMostNodes));
  columns_ = std::max(8, static_cast<int>(std::ceil(widest / cell)));
  rows_ = std::max(4, static_cast<int>(std::ceil(surface.along_mm() / cell)));
  if (!blocks_.empty()) note_blocks(cell);
  const double d_along = surface.along_mm() / rows_;
  const double across = surface.round() ? 360.0 : surface.width_mm(0.0);
  for (int r = 0; r < rows_; ++r) {
    const double along = (r + 0.5) * d_along;
    int open = 0;
    for (int c = 0; c < columns_; ++c) {
      if (room_mm({(c + 0.5) * across / columns_, along}) > 0.0) ++open;
    }
    free_mm2_ += open * (across / columns_) * surface.mm_per_across(along) * d_along;
  }
}

FacePoint ScatterGround::node(int column, int row) const {
  const double across = surface_->round() ? 360.0 : surface_->width_mm(0.0);
  return {column * across / columns_, row * surface_->along_mm() / rows_};
}

double ScatterGround::edge_room(FacePoint point) const {
  double room = std::min(point.along - along_from_, along_to_ - point.along);
  if (!surface_->round()) {
    const double side = std::min(point.across, surface_->width_mm(point.along) - point.across);
    room = std::min(room, side * surface_->mm_per_across(point.along));
  }
  return room - edge_mm_;
}

bool ScatterGround::is_inside(const Block& block, FacePoint point) const {
  const auto in_rings = [&](double across) {
    bool in = false;
    for (const auto& ring : block.rings) {
      for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        const FacePoint a = ring[i], b = ring[j];
        if ((a.along > point.along) == (b.along > point.along)) continue;
        const double share = (point.along - a.along) / (b.along - a.along);
        if (across < a.across + (b.across - a.across) * share) in = !in;
      }
    }
    return in;
  };
  if (!surface_->round()) return in_rings(point.across);
  // The ring may begin anywhere: every whole turn that brings the point within its span.
  const double from = block.span.min.x;
  for (double across = from + wrapped_deg(point.across - from); across <= block.span.max.x;
       across += 360.0) {
    if (in_rings(across)) return true;
  }
  return false;
}

// False only where the block is surely further away.
bool ScatterGround::is_near(const Block& block, FacePoint point, double reach_mm) const {
  if (block.keep_inside) return true;
  const double low = block.span.min.y - reach_mm, high = block.span.max.y + reach_mm;
  if (point.along < low || point.along > high) return false;
  const double per = std::min(surface_->mm_per_across(std::max(0.0, low)),
                              surface_->mm_per_across(std::min(surface_->along_mm(), high)));
  const double half = block.span.width() / 2.0 + reach_mm / std::max(1e-6, 0.8 * per);
  const double off = point.across - block.span.centre().x;
  return std::abs(surface_->round() ? nearest_turn(off) : off) <= half;
}

double ScatterGround::block_distance(const Block& block, FacePoint point) const {
  double best = 1e300;
  for (const auto& ring : block.rings) {
    Vec2 before = surface_->way(point, ring.back());
    FacePoint last = ring.back();
    for (const FacePoint& corner : ring) {
      // From the last corner on, so that an edge never jumps to the other way round.
      const double scale = surface_->mm_per_across((point.along + corner.along) / 2.0);
      Vec2 here = surface_->way(point, corner);
      if (surface_->round()) {
        const double jump = 360.0 * scale;
        const double run = (corner.across - last.across) * scale;
        here.x += std::round((before.x + run - here.x) / jump) * jump;
      }
      best = std::min(best, distance_to_segment(kHere, before, here));
      before = here;
      last = corner;
    }
  }
  return best;
}

void ScatterGround::note_blocks(double cell_mm) {
  const int across_nodes = columns_ + (surface_->round() ? 0 : 1);
  room_.assign(static_cast<std::size_t>(across_nodes) * static_cast<std::size_t>(rows_ + 1),
               static_cast<float>(reach_mm_));
  for (const Block& block : blocks_) {
    const double out = reach_mm_ + block.clear_mm + cell_mm;
    for (int r = 0; r <= rows_; ++r) {
      const double along = node(0, r).along;
      if (!block.keep_inside &&
          (along < block.span.min.y - out || along > block.span.max.y + out)) {
        continue;
      }
      // Only the columns that the block can reach in this row.
      const double per = std::max(1e-6, surface_->mm_per_across(along));
      const double step = node(1, 0).across;
      int from = static_cast<int>(std::floor((block.span.min.x - out / per) / step));
      int to = static_cast<int>(std::ceil((block.span.max.x + out / per) / step));
      if (block.keep_inside || to - from >= across_nodes) {
        from = 0;
        to = across_nodes - 1;
      }
      for (int c = from; c <= to; ++c) {
        int column = c;
        if (surface_->round()) {
          column = ((c % columns_) + columns_) % columns_;
        } else if (c < 0 || c >= across_nodes) {
          continue;
        }
        const FacePoint at = node(column, r);
        const bool in = is_inside(block, at);
        double room = block_distance(block, at) * (in != block.keep_inside ? -1.0 : 1.0);
        room = std::max(room - block.clear_mm, -reach_mm_);
        float& noted = room_[static_cast<std::size_t>(r) * static_cast<std::size_t>(across_nodes) +
                             static_cast<std::size_t>(column)];
        noted = std::min(noted, static_cast<float>(room));
      }
    }
  }
}

double ScatterGround::grid_room(FacePoint point) const {
  const FacePoint step = node(1, 1);
  const double qx = (surface_->round() ? wrapped_deg(point.across) : point.across) / step.across;
  const double qy = point.along / step.along;
  const int across_nodes = columns_ + (surface_->round() ? 0 : 1);
  const int x = std::clamp(static_cast<int>(std::floor(qx)), 0, columns_ - 1);
  const int y = std::clamp(static_cast<int>(std::floor(qy)), 0, rows_ - 1);
  const double fx = std::clamp(qx - x, 0.0, 1.0), fy = std::clamp(qy - y, 0.0, 1.0);
  const auto value = [&](int column, int row) {
    const int c = surface_->round() ? column % columns_ : column;
    return static_cast<double>(
        room_[static_cast<std::size_t>(row) * static_cast<std::size_t>(across_nodes) +
              static_cast<std::size_t>(c)]);
  };
  const double top = value(x, y) * (1.0 - fx) + value(x + 1, y) * fx;
  const double bottom = value(x, y + 1) * (1.0 - fx) + value(x + 1, y + 1) * fx;
  return top * (1.0 - fy) + bottom * fy;
}

double ScatterGround::room_mm(FacePoint point) const {
  const double room = std::min(reach_mm_, edge_room(point));
  return room_.empty() ? room : std::min(room, grid_room(point));
}

double ScatterGround::exact_room_mm(const std::vector<FacePoint>& outline, double enough_mm) const {
  double room = enough_mm;
  for (const FacePoint& point : outline) room = std::min(room, edge_room(point));
  if (room_.empty()) return room;
  const double slack = 2.0 * node(0, 1).along + enough_mm;  // of the grid against the outlines
  for (std::size_t i = 0; i < outline.size(); ++i) {
    if (grid_room(outline[i]) > slack) continue;
    for (const Block& block : blocks_) {
      if (!is_near(block, outline[i], block.clear_mm + enough_mm)) continue;
      const bool out = is_inside(block, outline[i]) != block.keep_inside;
      const double away = block_distance(block, outline[i]);
      room = std::min(room, (out ? -away : away) - block.clear_mm);
    }
  }
  // Corners of obstacles against the outline's edges.
  double least = 1e300, most = -1e300;
  for (const FacePoint& p : outline) {
    least = std::min(least, p.along);
    most = std::max(most, p.along);
  }
  const FacePoint middle{outline.front().across, (least + most) / 2.0};
  double radius = 0.0;
  for (const FacePoint& p : outline) radius = std::max(radius, length(surface_->way(middle, p)));
  for (const Block& block : blocks_) {
    const double out = block.clear_mm + enough_mm;
    if (!is_near(block, middle, radius + out)) continue;
    for (const auto& ring : block.rings) {
      for (const FacePoint& corner : ring) {
        if (corner.along < least - out || corner.along > most + out) continue;
        Vec2 before = surface_->way(corner, outline.back());
        for (const FacePoint& p : outline) {
          const Vec2 here = surface_->way(corner, p);
          if (std::abs(here.x - before.x) < 0.25 * surface_->width_mm(corner.along) ||
              !surface_->round()) {
            room = std::min(room, distance_to_segment(kHere, before, here) - block.clear_mm);
          }
          before = here;
        }
      }
    }
  }
  return room;
}

}  // namespace underdraw
