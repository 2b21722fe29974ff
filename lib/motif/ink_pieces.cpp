#include "motif/ink_pieces.h"

namespace underdraw {
namespace {

constexpr double kMostCells = 4e6;  // then cells grow instead

// Pen width at a distance along a stroke of this length.
double width_along(const Stroke& stroke, double along, double length) {
  const std::vector<double>& widths = stroke.widths_mm;
  if (widths.empty()) return stroke.width_mm;
  if (widths.size() == 1 || length <= 0.0) return widths.front();
  const double at = std::clamp(along / length, 0.0, 1.0) * static_cast<double>(widths.size() - 1);
  const std::size_t i = std::min(static_cast<std::size_t>(at), widths.size() - 2);
  return widths[i] + (widths[i + 1] - widths[i]) * (at - static_cast<double>(i));
}

struct Foot {
  double t = 0.0;
  double apart = 0.0;
};

Foot foot_on(const InkPiece& piece, Vec2 p) {
  const Vec2 d = piece.b - piece.a;
  const double t = std::clamp(dot(p - piece.a, d) / std::max(dot(d, d), 1e-300), 0.0, 1.0);
  return {t, distance(piece.at(t), p)};
}

// Even-odd: does the way from p to the right cross this piece?
bool right_of(Vec2 p, const InkPiece& piece) {
  const Vec2 a = piece.a;
  const Vec2 b = piece.b;
  return (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y);
}

}  // namespace

Box InkPiece::ink() const {
  Box box;
  box.add(a);
  box.add(b);
  return box.grown(std::max(half_a, half_b));
}

InkPieces::InkPieces(const Linework& lines, double tolerance, double step, double cell) {
  for (const Stroke& stroke : lines.strokes) {
    if (stroke.path.points.empty()) continue;
    std::vector<Vec2> points = flatten(stroke.path, tolerance);
    const double length = polyline_length(points);
    if (length <= 0.0) {
      add({points.front()}, &stroke, {.kind = InkKind::dot}, step);
      continue;
    }
    add(points, &stroke, {.kind = InkKind::stroke, .closed = stroke.path.closed}, step);
  }
  for (const Area& area : lines.areas) {
    areas_.emplace_back();
    area_boxes_.emplace_back();
    for (const Path& ring : area.rings) {
      std::vector<Vec2> points = flatten(ring, tolerance);
      if (polyline_length(points) <= 0.0) continue;
      if (points.front() != points.back()) points.push_back(points.front());
      areas_.back().push_back(static_cast<std::uint32_t>(lines_.size()));
      for (const Vec2 p : points) area_boxes_.back().add(p);
      InkLine line{.kind = InkKind::edge, .closed = true};
      line.area = static_cast<std::uint32_t>(areas_.size() - 1);
      add(points, nullptr, line, step);
    }
  }
  find_insides();
  fill_grid(cell);
}

void InkPieces::add(const std::vector<Vec2>& points, const Stroke* pen, InkLine line, double step) {
  const auto id = static_cast<std::uint32_t>(lines_.size());
  const double whole = polyline_length(points);
  const auto half_at = [&](double along) {
    return pen ? width_along(*pen, along, whole) / 2.0 : 0.0;
  };
  line.first = static_cast<std::uint32_t>(pieces_.size());
  if (points.size() == 1) {
    const double half = pen->width_mm / 2.0;
    pieces_.push_back({points[0], points[0], half, half, 0.0, id});
  }
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const double length = distance(points[i], points[i + 1]);
    if (length <= 0.0) continue;
    const int parts = std::max(1, static_cast<int>(std::ceil(length / step)));
    for (int k = 0; k < parts; ++k) {
      const double from = static_cast<double>(k) / parts;
      const double to = static_cast<double>(k + 1) / parts;
      pieces_.push_back({mix(points[i], points[i + 1], from),
                         mix(points[i], points[i + 1], to),
                         half_at(line.length + length * from),
                         half_at(line.length + length * to),
                         line.length + length * from,
                         id});
    }
    line.length += length;
  }
  line.end = static_cast<std::uint32_t>(pieces_.size());
  lines_.push_back(line);
}

// A little way to one side of the middle of the longest piece of each edge is inside or outside.
void InkPieces::find_insides() {
  for (InkLine& line : lines_) {
    if (line.kind != InkKind::edge) continue;
    std::uint32_t longest = line.first;
    for (std::uint32_t i = line.first; i < line.end; ++i) {
      if (distance(pieces_[i].a, pieces_[i].b) > distance(pieces_[longest].a, pieces_[longest].b)) {
        longest = i;
      }
    }
    const InkPiece& piece = pieces_[longest];
    const Vec2 aside = perpendicular(piece.b - piece.a) * 1e-4;
    const Vec2 p = piece.at(0.5) + aside;
    const bool inside = in_area(line.area, p);
    line.inside = inside ? 1.0 : -1.0;
  }
}

void InkPieces::fill_grid(double cell) {
  for (const InkPiece& piece : pieces_) box_.add(piece.ink());
  if (pieces_.empty()) box_.add(Vec2{});
  cell_ = std::max(cell, 1e-9);
  cell_ = std::max(cell_, std::sqrt(box_.width() * box_.height() / kMostCells));
  cell_ = std::max(cell_, std::max(box_.width(), box_.height()) / kMostCells);
  columns_ = static_cast<int>(box_.width() / cell_) + 1;
  rows_ = static_cast<int>(box_.height() / cell_) + 1;
  seen_.assign(pieces_.size(), 0);
  starts_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
  for (const InkPiece& piece : pieces_) {
    each_cell(piece.ink(), [&](std::size_t c) { ++starts_[c + 1]; });
  }
  for (std::size_t c = 0; c + 1 < starts_.size(); ++c) starts_[c + 1] += starts_[c];
  members_.resize(starts_.back());
  std::vector<std::uint32_t> next(starts_.begin(), starts_.end() - 1);
  for (std::uint32_t i = 0; i < pieces_.size(); ++i) {
    each_cell(pieces_[i].ink(), [&](std::size_t c) { members_[next[c]++] = i; });
  }
}

std::uint32_t InkPieces::piece_at(std::uint32_t line, double along) const {
  const InkLine& l = lines_[line];
  const auto first = pieces_.begin() + l.first;
  const auto after =
      std::upper_bound(first, pieces_.begin() + l.end, along, [](double v, const InkPiece& p) {
        return v < p.along;
      });
  return l.first + static_cast<std::uint32_t>(std::max<std::ptrdiff_t>(after - first - 1, 0));
}

InkSpot InkPieces::spot(std::uint32_t line, double along) const {
  const InkLine& l = lines_[line];
  if (l.closed && l.length > 0.0) {
    along -= l.length * std::floor(along / l.length);
  } else {
    along = std::clamp(along, 0.0, l.length);
  }
  const InkPiece& piece = pieces_[piece_at(line, along)];
  const double length = distance(piece.a, piece.b);
  const double t = length > 0.0 ? std::clamp((along - piece.along) / length, 0.0, 1.0) : 0.0;
  return {piece.at(t), piece.half(t), along};
}

bool InkPieces::in_area(std::size_t area, Vec2 p) const {
  bool inside = false;
  for (const std::uint32_t ring : areas_[area]) {
    for (std::uint32_t i = lines_[ring].first; i < lines_[ring].end; ++i) {
      if (right_of(p, pieces_[i])) inside = !inside;
    }
  }
  return inside;
}

bool InkPieces::in_area(Vec2 p) const {
  for (std::size_t area = 0; area < areas_.size(); ++area) {
    if (!area_boxes_[area].contains(p)) continue;
    if (in_area(area, p)) return true;
  }
  return false;
}

PieceGap closest(const InkPiece& first, const InkPiece& second) {
  const Vec2 d = first.b - first.a;
  const Vec2 e = second.b - second.a;
  const double turn = cross(d, e);
  if (turn != 0.0) {
    const double t = cross(second.a - first.a, e) / turn;
    const double u = cross(second.a - first.a, d) / turn;
    if (t >= 0.0 && t <= 1.0 && u >= 0.0 && u <= 1.0) return {t, u, 0.0};
  }
  // Otherwise one of the four ends is nearest.
  PieceGap best{0.0, 0.0, std::numeric_limits<double>::infinity()};
  const auto take = [&](double apart, double t, double u) {
    if (apart < best.apart) best = {t, u, apart};
  };
  Foot foot = foot_on(second, first.a);
  take(foot.apart, 0.0, foot.t);
  foot = foot_on(second, first.b);
  take(foot.apart, 1.0, foot.t);
  foot = foot_on(first, second.a);
  take(foot.apart, foot.t, 0.0);
  foot = foot_on(first, second.b);
  take(foot.apart, foot.t, 1.0);
  return best;
}

}  // namespace underdraw
