#include "motif/closed_loops.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <queue>

#include <polyclipping/clipper.hpp>

#include "core/error.h"
#include "geometry/rings.h"

namespace underdraw {
namespace {

using Shape = std::vector<std::vector<Vec2>>;

constexpr double kSame = 0.04;        // widths of a stroke that differ by less are drawn as one
constexpr double kPrecision = 0.005;  // where the search ends and climbing begins
constexpr int kMostSquares = 20000;

// Distance to the nearest side, negative outside.
double depth(const Shape& shape, Vec2 p) {
  double least = std::numeric_limits<double>::infinity();
  bool inside = false;
  for (const auto& ring : shape) {
    for (std::size_t i = 0, k = ring.size() - 1; i < ring.size(); k = i++) {
      const Vec2 a = ring[k];
      const Vec2 b = ring[i];
      if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) {
        inside = !inside;
      }
      const Vec2 d = b - a;
      const double t = std::clamp(dot(p - a, d) / std::max(dot(d, d), 1e-300), 0.0, 1.0);
      const Vec2 away = p - mix(a, b, t);
      least = std::min(least, dot(away, away));
    }
  }
  return inside ? std::sqrt(least) : -std::sqrt(least);
}

struct Square {
  Vec2 centre;
  double half = 0.0;
  double depth = 0.0;
  double most() const { return depth + half * std::numbers::sqrt2; }
  bool operator<(const Square& o) const { return most() < o.most(); }
};

// Linework as polygons of whole units, so many to a length that the finest detail is kept.
class Inked {
 public:
  Inked(const Linework& lines, double tolerance) : unit_(tolerance / 50.0), tolerance_(tolerance) {
    for (const Stroke& stroke : lines.strokes) add(stroke);
    for (const Area& area : lines.areas) add(area);
  }

  // White closed in, each with the ink that stands free inside it; or the ink with its holes.
  std::vector<Shape> parts(bool white) const {
    ClipperLib::Clipper clipper;
    clipper.AddPaths(ink_, ClipperLib::ptSubject, true);
    ClipperLib::PolyTree tree;
    clipper.Execute(ClipperLib::ctUnion, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    std::vector<Shape> out;
    for (const ClipperLib::PolyNode* node = tree.GetFirst(); node; node = node->GetNext()) {
      if (node->IsHole() != white) continue;
      Shape shape = {from_units(node->Contour)};
      for (const ClipperLib::PolyNode* inner : node->Childs) {
        shape.push_back(from_units(inner->Contour));
      }
      out.push_back(std::move(shape));
    }
    return out;
  }

 private:
  ClipperLib::Path to_units(const std::vector<Vec2>& points) const {
    ClipperLib::Path out;
    for (const Vec2 p : points) {
      if (!(std::abs(p.x) <= 1e5 && std::abs(p.y) <= 1e5)) {
        throw GeometryError({.file = {},
                             .line = {},
                             .found = "a line has a point that is not a usable place",
                             .expected = "within 100 m",
                             .remedy = {}});
      }
      out.push_back({std::llround(p.x / unit_), std::llround(p.y / unit_)});
    }
    return out;
  }

  std::vector<Vec2> from_units(const ClipperLib::Path& path) const {
    std::vector<Vec2> out;
    for (const auto& p : path) {
      out.push_back({static_cast<double>(p.X) * unit_, static_cast<double>(p.Y) * unit_});
    }
    return out;
  }

  void add_run(const std::vector<Vec2>& points, double width) {
    ClipperLib::ClipperOffset offset(2.0, tolerance_ / unit_);
    offset.AddPath(to_units(points), ClipperLib::jtRound, ClipperLib::etOpenRound);
    ClipperLib::Paths out;
    offset.Execute(out, std::max(width / 2.0, tolerance_) / unit_);
    ink_.insert(ink_.end(), out.begin(), out.end());
  }

  // Runs of one width each, one after the other.
  void add(const Stroke& stroke) {
    if (stroke.path.points.empty()) return;
    const std::vector<Vec2> points = flatten(stroke.path, tolerance_);
    const std::vector<double>& widths = stroke.widths_mm;
    const double length = polyline_length(points);
    if (widths.size() < 2 || length <= 0.0) return add_run(points, stroke.width_mm);
    const auto width_at = [&](double along) {
      const double at = std::min(along / length, 1.0) * static_cast<double>(widths.size() - 1);
      const std::size_t i = std::min(static_cast<std::size_t>(at), widths.size() - 2);
      return std::lerp(widths[i], widths[i + 1], at - static_cast<double>(i));
    };
    std::vector<Vec2> run = {points.front()};
    double narrow = width_at(0.0);
    double wide = narrow;
    double along = 0.0;
    for (std::size_t i = 1; i < points.size(); ++i) {
      const double whole = distance(points[i - 1], points[i]);
      const double step = length / static_cast<double>(widths.size() - 1);
      const int parts = std::max(1, static_cast<int>(std::ceil(whole / step)));
      for (int k = 1; k <= parts; ++k) {
        const double share = static_cast<double>(k) / parts;
        run.push_back(mix(points[i - 1], points[i], share));
        const double width = width_at(along + whole * share);
        narrow = std::min(narrow, width);
        wide = std::max(wide, width);
        if (wide - narrow > kSame * wide) {
          add_run(run, (narrow + wide) / 2.0);
          run = {run.back()};
          narrow = wide = width;
        }
      }
      along += whole;
    }
    if (run.size() > 1) add_run(run, (narrow + wide) / 2.0);
  }

  void add(const Area& area) {
    ClipperLib::Clipper clipper;
    for (const Path& ring : area.rings) {
      clipper.AddPath(to_units(flatten(ring, tolerance_)), ClipperLib::ptSubject, true);
    }
    ClipperLib::Paths out;
    clipper.Execute(ClipperLib::ctUnion, out, ClipperLib::pftEvenOdd, ClipperLib::pftEvenOdd);
    ink_.insert(ink_.end(), out.begin(), out.end());
  }

  double unit_, tolerance_;
  ClipperLib::Paths ink_;
};

// No disc inside is wider than this.
double width_bound(const Shape& shape) {
  const Box box = box_of(shape.front());
  return std::min({box.width(),
                   box.height(),
                   2.0 * std::sqrt(std::abs(signed_area(shape.front())) / std::numbers::pi)});
}

}  // namespace

std::optional<InnerDisc> inner_disc(const Shape& shape, double no_wider) {
  const Box box = box_of(shape);
  const double side = std::min(box.width(), box.height());
  if (box.empty() || side <= 0.0) return std::nullopt;
  // Long thin shapes are covered by squares, but not by more than a hundred.
  const double start = std::max(side, std::max(box.width(), box.height()) / 100.0);
  std::priority_queue<Square> squares;
  Square best{box.centre(), 0.0, depth(shape, box.centre())};
  const auto push = [&](Vec2 centre, double half) {
    const Square square{centre, half, depth(shape, centre)};
    if (square.depth > best.depth) best = square;
    squares.push(square);
  };
  for (double y = box.min.y + start / 2.0; y - start / 2.0 < box.max.y; y += start) {
    for (double x = box.min.x + start / 2.0; x - start / 2.0 < box.max.x; x += start) {
      push({x, y}, start / 2.0);
    }
  }
  for (int n = 0; n < kMostSquares && !squares.empty(); ++n) {
    if (2.0 * best.depth > no_wider) return std::nullopt;
    const Square square = squares.top();
    squares.pop();
    if (square.most() - best.depth <= kPrecision * std::max(best.depth, 0.0)) break;
    const double half = square.half / 2.0;
    for (const double dy : {-half, half}) {
      for (const double dx : {-half, half}) push(square.centre + Vec2{dx, dy}, half);
    }
  }
  if (best.depth <= 0.0) return std::nullopt;
  for (double step = best.depth * 0.05; step > best.depth * 1e-4;) {
    bool climbed = false;
    for (int way = 0; way < 8; ++way) {
      const Vec2 to = best.centre + Affine::turn_deg(45.0 * way) * Vec2{step, 0.0};
      const double there = depth(shape, to);
      if (there <= best.depth) continue;
      best = {to, 0.0, there};
      climbed = true;
    }
    if (!climbed) step /= 2.0;
  }
  if (2.0 * best.depth > no_wider) return std::nullopt;
  return InnerDisc{best.centre, 2.0 * best.depth};
}

namespace {

std::optional<InnerDisc> narrowest(const std::vector<Shape>& shapes, double least) {
  std::vector<std::pair<double, std::size_t>> order;  // small ones first: they spare the others
  for (std::size_t i = 0; i < shapes.size(); ++i) order.emplace_back(width_bound(shapes[i]), i);
  std::sort(order.begin(), order.end());
  std::optional<InnerDisc> out;
  double no_wider = std::numeric_limits<double>::infinity();
  for (const auto& [bound, i] : order) {
    if (bound < least) continue;
    const std::optional<InnerDisc> disc = inner_disc(shapes[i], no_wider);
    if (!disc || disc->width < least) continue;
    out = disc;
    no_wider = disc->width;
  }
  return out;
}

}  // namespace

std::optional<InnerDisc> smallest_loop(const Linework& lines, double tolerance, double least) {
  return narrowest(Inked(lines, tolerance).parts(true), least);
}

std::optional<InnerDisc> narrowest_area(const Linework& lines, double tolerance) {
  return narrowest(Inked({{}, lines.areas}, tolerance).parts(false), 0.0);
}

}  // namespace underdraw
