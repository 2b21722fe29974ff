#include "sheet/pack_rows.h"

#include <algorithm>
#include <numeric>
#include <optional>

namespace underdraw {
namespace {

constexpr double kSlack = 1e-6;    // rounding in sums of widths
constexpr double kSameRow = 0.85;  // heights within this ratio share a row

// The upper outline of what lies on a sheet, as steps from left to right; y grows downwards from
// the room's top, which is where boxes are put first.
class Skyline {
 public:
  Skyline(double width, double height) : width_(width), height_(height), steps_{{0.0, 0.0}} {}

  // Highest, then leftmost free place for a box.
  std::optional<Vec2> place_for(Vec2 size) const {
    std::optional<Vec2> best;
    for (std::size_t i = 0; i < steps_.size(); ++i) {
      const double x = steps_[i].x;
      if (x + size.x > width_ + kSlack) break;
      double y = 0.0;
      for (std::size_t k = i; k < steps_.size() && steps_[k].x < x + size.x - kSlack; ++k) {
        y = std::max(y, steps_[k].y);
      }
      if (y + size.y > height_ + kSlack) continue;
      if (!best || y < best->y - kSlack) best = Vec2{x, y};
    }
    return best;
  }

  void fill(Vec2 at, Vec2 size) {
    const double right = at.x + size.x;
    double after = 0.0;  // level to the right of the box
    for (const Vec2& step : steps_) {
      if (step.x <= right + kSlack) after = step.y;
    }
    std::vector<Vec2> next;
    for (const Vec2& step : steps_) {
      if (step.x < at.x - kSlack) next.push_back(step);
    }
    next.push_back({at.x, at.y + size.y});
    if (right < width_ - kSlack) next.push_back({right, after});
    for (const Vec2& step : steps_) {
      if (step.x > right + kSlack) next.push_back(step);
    }
    steps_ = std::move(next);
  }

 private:
  double width_, height_;
  std::vector<Vec2> steps_;  // x where the step starts, y its level
};

// Tall ones first; those of about one height stay in their order, so numbers run on in a row.
std::vector<std::size_t> packing_order(const std::vector<Box>& boxes) {
  std::vector<std::size_t> order(boxes.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return boxes[a].height() > boxes[b].height();
  });
  for (auto from = order.begin(); from != order.end();) {
    const double least = kSameRow * boxes[*from].height();
    const auto to =
        std::find_if(from, order.end(), [&](std::size_t i) { return boxes[i].height() < least; });
    std::sort(from, to);
    from = to;
  }
  return order;
}

BoxPacking on_skyline(const std::vector<Box>& boxes, const Box& room, double spacing_mm) {
  const Vec2 spacing{spacing_mm, spacing_mm};
  BoxPacking out{std::vector<BoxSpot>(boxes.size()), 0};
  std::vector<Skyline> sheets;
  for (const std::size_t i : packing_order(boxes)) {
    const Vec2 size = Vec2{boxes[i].width(), boxes[i].height()} + spacing;
    std::optional<Vec2> at;
    std::size_t sheet = 0;
    for (; sheet < sheets.size() && !at; ++sheet) at = sheets[sheet].place_for(size);
    if (at) {
      --sheet;
    } else {
      sheets.emplace_back(room.width() + spacing.x, room.height() + spacing.y);
      sheet = sheets.size() - 1;
      at = sheets.back().place_for(size);
    }
    sheets[sheet].fill(*at, size);
    out.spots[i] = {sheet, room.min + *at - boxes[i].min};
  }
  out.sheets = sheets.size();
  return out;
}

BoxPacking in_rows(const std::vector<Box>& boxes, const Box& room, double spacing_mm) {
  struct Row {
    std::size_t sheet = 0;
    double top = 0.0;
    double height = 0.0;
    double filled = 0.0;  // width, spacing included
    std::vector<std::size_t> items;
  };
  std::vector<Row> rows;
  std::vector<double> used;  // height of each sheet, spacing included
  const std::vector<std::size_t> order = packing_order(boxes);
  for (auto it = order.begin(); it != order.end(); ++it) {
    const Box& box = boxes[*it];
    const auto holds = [&](const Row& row) {
      return box.height() <= row.height + kSlack &&
             row.filled + box.width() <= room.width() + kSlack;
    };
    auto row = std::find_if(rows.begin(), rows.end(), holds);
    if (row == rows.end()) {
      // As high as the highest that may follow in the same row.
      Row next;
      for (auto k = it; k != order.end() && boxes[*k].height() >= kSameRow * box.height(); ++k) {
        if (boxes[*k].height() <= box.height() / kSameRow) {
          next.height = std::max(next.height, boxes[*k].height());
        }
      }
      const auto sheet = std::find_if(used.begin(), used.end(), [&](double height) {
        return height + next.height <= room.height() + kSlack;
      });
      next.sheet = static_cast<std::size_t>(sheet - used.begin());
      if (sheet == used.end()) used.push_back(0.0);
      next.top = used[next.sheet];
      used[next.sheet] += next.height + spacing_mm;
      row = rows.insert(rows.end(), next);
    }
    row->items.push_back(*it);
    row->filled += box.width() + spacing_mm;
  }
  BoxPacking out{std::vector<BoxSpot>(boxes.size()), used.size()};
  for (const Row& row : rows) {
    double x = 0.0;
    for (const std::size_t i : row.items) {
      out.spots[i] = {row.sheet, room.min + Vec2{x, row.top} - boxes[i].min};
      x += boxes[i].width() + spacing_mm;
    }
  }
  return out;
}

}  // namespace

BoxPacking pack_rows(const std::vector<Box>& boxes, const Box& room, double spacing_mm) {
  // Straight rows may not cost a sheet.
  BoxPacking rows = in_rows(boxes, room, spacing_mm);
  BoxPacking tight = on_skyline(boxes, room, spacing_mm);
  return rows.sheets <= tight.sheets ? rows : tight;
}

}  // namespace underdraw
