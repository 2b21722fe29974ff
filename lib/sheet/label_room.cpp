#include "sheet/label_room.h"

#include <cmath>

#include "sheet/clip_lines.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kCellMm = 5.0;
constexpr double kFlatMm = 0.05;  // curves as straight pieces

std::int64_t cell(double v) { return static_cast<std::int64_t>(std::floor(v / kCellMm)); }

}  // namespace

std::vector<Box> text_boxes(const TextMark& mark) {
  const double quarters = mark.turn_deg / 90.0;
  if (std::abs(quarters - std::round(quarters)) < 0.01) return {text_box(mark)};
  const double width = text_width_mm(mark);
  const double above = kAscent * mark.height_mm, below = kDescent * mark.height_mm;
  const double start = mark.align == Align::left     ? 0.0
                       : mark.align == Align::centre ? -width / 2.0
                                                     : -width;
  const int count = std::max(1, static_cast<int>(std::ceil(width / (0.5 * mark.height_mm))));
  const Affine turned = Affine::translate(mark.at) * Affine::turn_deg(mark.turn_deg);
  std::vector<Box> out;
  for (int i = 0; i < count; ++i) {
    Box box;
    for (const double x : {start + width * i / count, start + width * (i + 1) / count}) {
      box.add(turned * Vec2{x, -above});
      box.add(turned * Vec2{x, below});
    }
    out.push_back(box);
  }
  return out;
}

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
    for (const Box& box : text_boxes(*text)) add(box);
    return;
  }
  if (const auto* shared = std::get_if<SharedMark>(&mark)) {
    for (const PathMark& each : marks_of(*shared)) add(each);
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

bool LabelRoom::free(const TextMark& words, double apart_mm) const {
  for (const Box& box : text_boxes(words)) {
    if (!free(box.grown(apart_mm))) return false;
  }
  return true;
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
