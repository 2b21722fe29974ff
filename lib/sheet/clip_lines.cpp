#include "sheet/clip_lines.h"

namespace underdraw {
namespace {

std::vector<double> minus_x(const std::vector<Vec2>& points) {
  std::vector<double> out;
  for (const Vec2 p : points) out.push_back(-p.x);
  return out;
}

Vec2 crossing(Vec2 p, Vec2 q, double at_p, double at_q) { return mix(p, q, at_p / (at_p - at_q)); }

}  // namespace

ClippedSpan clipped(Vec2 from, Vec2 to, const Box& box) {
  ClippedSpan span{0.0, 1.0};
  const Vec2 way = to - from;
  const auto against = [&](double step, double room) {
    if (step == 0.0) {
      if (room < 0.0) span = {};
    } else if (step < 0.0) {
      span.from = std::max(span.from, room / step);
    } else {
      span.to = std::min(span.to, room / step);
    }
  };
  against(-way.x, from.x - box.min.x);
  if (!span.empty()) against(way.x, box.max.x - from.x);
  if (!span.empty()) against(-way.y, from.y - box.min.y);
  if (!span.empty()) against(way.y, box.max.y - from.y);
  return span;
}

bool touches(const Rings& rings, const Box& box) {
  for (const Ring& ring : rings) {
    for (std::size_t i = 0; i < ring.size(); ++i) {
      if (!clipped(ring[i], ring[(i + 1) % ring.size()], box).empty()) return true;
    }
  }
  return inside(rings, box.centre());
}

std::vector<std::vector<Vec2>> pieces_inside(const std::vector<Vec2>& points,
                                             const std::vector<double>& inside) {
  std::vector<std::vector<Vec2>> out;
  bool open = false;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool in = inside[i] > 0.0;
    if (i > 0 && in != (inside[i - 1] > 0.0)) {
      const Vec2 edge = crossing(points[i - 1], points[i], inside[i - 1], inside[i]);
      if (in) out.emplace_back();
      out.back().push_back(edge);
    } else if (in && !open) {
      out.emplace_back();
    }
    if (in) out.back().push_back(points[i]);
    open = in;
  }
  return out;
}

std::vector<Vec2> ring_inside(const std::vector<Vec2>& ring, const std::vector<double>& inside) {
  std::vector<Vec2> out;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const std::size_t next = (i + 1) % ring.size();
    if (inside[i] > 0.0) out.push_back(ring[i]);
    if ((inside[i] > 0.0) != (inside[next] > 0.0)) {
      out.push_back(crossing(ring[i], ring[next], inside[i], inside[next]));
    }
  }
  return out;
}

std::vector<Vec2> ring_inside(std::vector<Vec2> ring, const Box& box) {
  for (int side = 0; side < 4 && ring.size() > 2; ++side) {
    std::vector<double> inside;
    for (const Vec2 p : ring) {
      inside.push_back(side == 0   ? p.x - box.min.x
                       : side == 1 ? box.max.x - p.x
                       : side == 2 ? p.y - box.min.y
                                   : box.max.y - p.y);
    }
    ring = ring_inside(ring, inside);
  }
  return ring;
}

std::vector<std::vector<Vec2>> pieces_inside(const std::vector<Vec2>& points, const Box& box) {
  std::vector<std::vector<Vec2>> out;
  bool joined = false;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const ClippedSpan span = clipped(points[i], points[i + 1], box);
    if (span.empty()) {
      joined = false;
      continue;
    }
    if (!joined || span.from > 0.0) {
      out.push_back({mix(points[i], points[i + 1], span.from)});
    }
    out.back().push_back(mix(points[i], points[i + 1], span.to));
    joined = span.to >= 1.0;
  }
  return out;
}

Linework inside_box(const Linework& lines, const Box& box, double tolerance_mm) {
  Linework out;
  for (const Stroke& stroke : lines.strokes) {
    const Box reach = stroke.path.box();
    if (box.contains(reach)) {
      out.strokes.push_back(stroke);
      continue;
    }
    if (stroke.path.is_dot() || !box.grown(1e-9).overlaps(reach.grown(1e-9))) continue;
    std::vector<Vec2> points = flatten(stroke.path, tolerance_mm);
    if (stroke.path.closed) points.push_back(points.front());
    for (const auto& piece : pieces_inside(points, box)) {
      if (piece.size() > 1) out.strokes.push_back({Path::polyline(piece), stroke.width_mm});
    }
  }
  for (const Area& area : lines.areas) {
    Area kept;
    for (const Path& ring : area.rings) {
      if (box.contains(ring.box())) {
        kept.rings.push_back(ring);
        continue;
      }
      const std::vector<Vec2> in = ring_inside(flatten(ring, tolerance_mm), box);
      if (in.size() > 2) kept.rings.push_back(Path::polyline(in, true));
    }
    if (!kept.rings.empty()) out.areas.push_back(std::move(kept));
  }
  return out;
}

Linework left_of_axis(const Linework& lines, double tolerance_mm) {
  Linework out;
  for (const Stroke& stroke : lines.strokes) {
    if (stroke.path.box().min.x >= 0.0) continue;
    if (stroke.path.is_dot()) {
      out.strokes.push_back(stroke);
      continue;
    }
    std::vector<Vec2> points = flatten(stroke.path, tolerance_mm);
    if (stroke.path.closed) points.push_back(points.front());
    for (const auto& piece : pieces_inside(points, minus_x(points))) {
      if (piece.size() > 1) out.strokes.push_back({Path::polyline(piece), stroke.width_mm});
    }
  }
  for (const Area& area : lines.areas) {
    Area kept;
    for (const Path& ring : area.rings) {
      const std::vector<Vec2> points = flatten(ring, tolerance_mm);
      const std::vector<Vec2> in = ring_inside(points, minus_x(points));
      if (in.size() > 2) kept.rings.push_back(Path::polyline(in, true));
    }
    if (!kept.rings.empty()) out.areas.push_back(std::move(kept));
  }
  return out;
}

}  // namespace underdraw
