#include "trace/stroke_places.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace underdraw {
namespace {

constexpr double kStep = 1.0;   // px between places along a line
constexpr double kKink = 0.02;  // rad; pieces that join with less are one smooth line
// Hands land and lift a pen lightly. In the blot of a meeting a line's end is therefore narrower
// than its body, and only the body's width can be read.
constexpr double kLanding = 3.0;  // pen widths that this takes
constexpr double kLight = 0.15;   // share of the width that is missing at the very end

bool is_kink(const Cubic& before, const Cubic& after) {
  return angle_between(before.p3 - before.p2, after.p1 - after.p0) > kKink;
}

// Width at a share of the stroke's length.
double width_at(const FittedStroke& stroke, double share) {
  if (stroke.widths.size() < 2) return stroke.width;
  const double at = std::clamp(share, 0.0, 1.0) * static_cast<double>(stroke.widths.size() - 1);
  const auto i = std::min(static_cast<std::size_t>(at), stroke.widths.size() - 2);
  const double t = at - static_cast<double>(i);
  return stroke.widths[i] * (1.0 - t) + stroke.widths[i + 1] * t;
}

}  // namespace

Places places_of(const FittedStroke& stroke) {
  Places out;
  const Path& path = stroke.path;
  const std::size_t count = path.piece_count();
  out.ring = path.closed;
  for (std::size_t k = 0; k < count; ++k) {
    const Cubic c = path.piece(k);
    if (k > 0 && is_kink(path.piece(k - 1), c)) out.corners.push_back(out.list.size());
    // Even in length to a few percent: table of lengths over the parameter.
    constexpr int kTable = 16;
    std::array<double, kTable + 1> walked{};
    Vec2 before = c.p0;
    for (int j = 1; j <= kTable; ++j) {
      const Vec2 next = c.at(double(j) / kTable);
      walked[std::size_t(j)] = walked[std::size_t(j - 1)] + distance(before, next);
      before = next;
    }
    const double total = walked.back();
    const int steps = std::max(1, static_cast<int>(std::lround(total / kStep)));
    const bool last = k + 1 == count && !path.closed;
    int j = 0;
    for (int i = 0; i < steps + (last ? 1 : 0); ++i) {
      const double want = total * i / steps;
      while (j + 1 < kTable && walked[std::size_t(j + 1)] < want) ++j;
      const double span = walked[std::size_t(j + 1)] - walked[std::size_t(j)];
      const double t =
          (j + (span > 0.0 ? std::min(1.0, (want - walked[std::size_t(j)]) / span) : 0.0)) / kTable;
      out.list.push_back({c.at(t), normalized(c.derivative(t)), 0.0, {}, {}, 0.0});
      out.so_far.push_back(out.length + want);
    }
    out.length += total;
  }
  if (path.closed && count > 0 && is_kink(path.piece(count - 1), path.piece(0))) {
    out.corners.insert(out.corners.begin(), 0);
  }
  for (std::size_t i = 0; i < out.list.size(); ++i) {
    LinePlace& place = out.list[i];
    place.width = std::max(1.0, width_at(stroke, out.so_far[i] / std::max(out.length, 1e-9)));
    if (out.ring) continue;
    const double to_end = std::min(out.so_far[i], out.length - out.so_far[i]);
    place.light = kLight * std::max(0.0, 1.0 - to_end / (kLanding * place.width));
  }
  return out;
}

namespace {

// How many places ahead of each the line turns so little that it cannot come near itself.
std::vector<int> straight_ahead(const Places& line) {
  constexpr double kTurn = 1.3;  // rad; a way that turns so much is 1.26 times its chord at most
  const std::size_t n = line.list.size();
  std::vector<int> out(n);
  double turned = 0.0;
  std::size_t to = 0;
  for (std::size_t from = 0; from < n; ++from) {
    while (to + 1 < n) {
      const double next = angle_between(line.list[to].along, line.list[to + 1].along);
      if (turned + next > kTurn) break;
      turned += next;
      ++to;
    }
    out[from] = static_cast<int>(to - from);
    if (to == from) {
      ++to;
    } else {
      turned -= angle_between(line.list[from].along, line.list[from + 1].along);
    }
  }
  return out;
}

}  // namespace

// Says for each place where the ink of other lines, or of the line itself further on, begins.
void mark_neighbours(std::vector<Places>& strokes, const PlaceGrid& grid) {
  double widest = 0.0;
  for (const Places& s : strokes) {
    for (const LinePlace& p : s.list) widest = std::max(widest, p.width);
  }
  for (std::size_t s = 0; s < strokes.size(); ++s) {
    Places& own = strokes[s];
    const std::vector<int> straight = straight_ahead(own);
    for (std::size_t i = 0; i < own.list.size(); ++i) {
      LinePlace& here = own.list[i];
      const Vec2 right = perpendicular(here.along);
      const double edge = 0.5 * here.width - 0.3;
      grid.visit_near(here.at, here.reach() + 0.5 * widest, [&](const PlaceGrid::Entry& entry) {
        if (entry.stroke == static_cast<int>(s)) {
          const int ahead = entry.place - static_cast<int>(i);
          if (ahead >= 0 ? ahead <= straight[i]
                         : -ahead <= straight[static_cast<std::size_t>(entry.place)]) {
            return;
          }
        }
        const Places& other = strokes[static_cast<std::size_t>(entry.stroke)];
        const LinePlace& there = other.list[static_cast<std::size_t>(entry.place)];
        const Vec2 way = there.at - here.at;
        const double u = dot(way, here.along);
        const double radius = 0.5 * there.width;
        if (std::abs(u) > radius) return;
        if (static_cast<std::size_t>(entry.stroke) == s) {
          double along =
              std::abs(own.so_far[i] - own.so_far[static_cast<std::size_t>(entry.place)]);
          if (own.ring) along = std::min(along, own.length - along);
          if (along < 1.3 * length(way) + 1.0) return;
        }
        const double h = dot(way, right);
        const double chord = std::sqrt(radius * radius - u * u);
        if (h + chord > edge)
          here.right = std::min(here.right.value_or(1e9), std::max(h - chord, 0.0));
        if (h - chord < -edge)
          here.left = std::min(here.left.value_or(1e9), std::max(-h - chord, 0.0));
      });
    }
  }
}

}  // namespace underdraw
