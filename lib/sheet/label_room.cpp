#include "sheet/label_room.h"

#include <cmath>

#include "sheet/clip_lines.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kCellMm = 5.0;
constexpr double kFlatMm = 0.05;  // curves as straight pieces

std::int64_t cell(double v) { return static_cast<std::int64_t>(std::floor(v / kCellMm)); }

}  // namespace

template <typename Visit>
void LabelRoom::cells(const Box& box, Visit visit) {
  for (std::int64_t c = cell(box.min.x); c <= cell(box.max.x); ++c) {
    for (std::int64_t r = cell(box.min.y); r <= cell(box.max.y); ++r) visit(c * 1'000'003 + r);
  }
}

void LabelRoom::add(const Box& taken) {
  if (taken.empty()) return;
  cells(taken, [&](std::int64_t key) { boxes_at_[key].push_back(boxes_.size()); });
  boxes_.push_back(taken);
}

void LabelRoom::add_line(std::span<const Vec2> points, double width_mm) {
  for (std::size_t i = 0; i + 1 < points.size() || (i == 0 && points.size() == 1); ++i) {
    const Vec2 from = points[i];
    const Vec2 to = points[std::min(i + 1, points.size() - 1)];
    // In short pieces, so that a long slanting line does not claim the cells of its whole box.
    const int parts = std::max(1, static_cast<int>(std::ceil(distance(from, to) / kCellMm)));
    for (int k = 0; k < parts; ++k) {
      const Piece piece{
          mix(from, to, k * 1.0 / parts), mix(from, to, (k + 1.0) / parts), width_mm / 2.0};
      Box box;
      box.add(piece.from);
      box.add(piece.to);
      cells(box.grown(piece.half_width),
            [&](std::int64_t key) { pieces_at_[key].push_back(pieces_.size()); });
      pieces_.push_back(piece);
    }
  }
}

void LabelRoom::add(const Mark& mark) {
  if (const auto* text = std::get_if<TextMark>(&mark)) {
    add(text_box(*text));
    return;
  }
  const PathMark& shape = std::get<PathMark>(mark);
  for (const Path& path : shape.paths) {
    if (shape.filled) {
      add(path.box());
    } else if (shape.line_width_mm > 0.0) {
      std::vector<Vec2> points = path.is_dot() ? path.points : flatten(path, kFlatMm);
      if (path.closed && !path.is_dot()) points.push_back(points.front());
      add_line(points, shape.line_width_mm);
    }
  }
}

bool LabelRoom::free(const Box& label) const {
  bool is_free = true;
  cells(label, [&](std::int64_t key) {
    if (!is_free) return;
    if (const auto found = boxes_at_.find(key); found != boxes_at_.end()) {
      for (const std::size_t i : found->second) is_free = is_free && !boxes_[i].overlaps(label);
    }
    if (const auto found = pieces_at_.find(key); found != pieces_at_.end()) {
      for (const std::size_t i : found->second) {
        if (!is_free) return;
        const Piece& piece = pieces_[i];
        is_free = clipped(piece.from, piece.to, label.grown(piece.half_width)).empty();
      }
    }
  });
  return is_free;
}

}  // namespace underdraw
