#include "motif/closest_lines.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

// A pair of points whose distance falls faster than this when one of them moves on is not where two
// lines are closest: it leads to a place that is, or to a meeting.
constexpr double kSteepest = 0.1;
// A gap counts when none in its window is narrower by more than this share.
constexpr double kNarrower = 0.05;
// The window: this far along both lines, in distances between them and in usual widths.
constexpr double kWindowApart = 1.5;
constexpr double kWindowWidths = 3.0;
// An end that stops this near to other ink, in usual widths, was meant to meet it.
constexpr double kTouchWidths = 0.25;

struct Pair {
  std::uint32_t first = 0, second = 0;  // pieces
  PieceGap at;
  Facing facing;
  double along_first = 0.0, along_second = 0.0;
};

class Level {
 public:
  Level(const Linework& lines, double usual, double inner, double outer)
      : usual_(usual),
        inner_(inner),
        outer_(outer),
        step_(std::max(usual / 4.0, outer / 16.0)),
        ink_(lines, step_ * 0.008, step_, outer) {
    for (std::uint32_t i = 0; i < ink_.pieces().size(); ++i) {
      ink_.near(ink_.pieces()[i].ink().grown(outer_), [&](std::uint32_t k) {
        if (k > i) consider(i, k);
      });
    }
  }

  // The first that holds, best first.
  std::optional<Facing> best(bool neck, const std::function<double(const Facing&)>& cost) const {
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < pairs_.size(); ++i) {
      if (pairs_[i].facing.neck == neck) order.emplace_back(cost(pairs_[i].facing), i);
    }
    std::sort(order.begin(), order.end());
    for (const auto& [unused, i] : order) {
      if (holds(pairs_[i])) return pairs_[i].facing;
    }
    return std::nullopt;
  }

 private:
  double window(double apart) const {
    return std::max(kWindowApart * apart, kWindowWidths * usual_);
  }

  bool at_open_end(std::uint32_t line, double along) const {
    const InkLine& l = ink_.lines()[line];
    const double near = 1e-9 * l.length;
    return l.kind == InkKind::stroke && !l.closed && (along <= near || along >= l.length - near);
  }

  bool is_touch(std::uint32_t line_a, double a, std::uint32_t line_b, double b, double gap) const {
    return gap <= 0.0 ||
           (gap <= kTouchWidths * usual_ && (at_open_end(line_a, a) || at_open_end(line_b, b)));
  }

  // Moving on from an end of a piece to the next piece of its line: does the distance fall?
  bool falls(std::uint32_t piece, double t, Vec2 away) const {
    const InkPiece& p = ink_.pieces()[piece];
    const InkLine& line = ink_.lines()[p.line];
    if (t >= 1.0) {
      if (piece + 1 == line.end && !line.closed) return false;
      const InkPiece& next = ink_.pieces()[piece + 1 == line.end ? line.first : piece + 1];
      return dot(normalized(next.b - next.a), away) > kSteepest;
    }
    if (t <= 0.0) {
      if (piece == line.first && !line.closed) return false;
      const InkPiece& back = ink_.pieces()[piece == line.first ? line.end - 1 : piece - 1];
      return dot(normalized(back.a - back.b), away) > kSteepest;
    }
    return false;
  }

  void consider(std::uint32_t i, std::uint32_t k) {
    const InkPiece& a = ink_.pieces()[i];
    const InkPiece& b = ink_.pieces()[k];
    Pair pair{i, k, closest(a, b), {}, 0.0, 0.0};
    Facing& facing = pair.facing;
    facing.from = a.at(pair.at.t);
    facing.to = b.at(pair.at.u);
    facing.half_from = a.half(pair.at.t);
    facing.half_to = b.half(pair.at.u);
    const double gap = pair.at.apart - facing.half_from - facing.half_to;
    if (gap <= inner_ || gap > outer_) return;
    const InkLine& line_a = ink_.lines()[a.line];
    const InkLine& line_b = ink_.lines()[b.line];
    facing.kind_from = line_a.kind;
    facing.kind_to = line_b.kind;
    facing.same_line = a.line == b.line;
    pair.along_first = a.along + pair.at.t * distance(a.a, a.b);
    pair.along_second = b.along + pair.at.u * distance(b.a, b.b);
    if (facing.same_line) {
      double between = std::abs(pair.along_first - pair.along_second);
      if (line_a.closed) between = std::min(between, line_a.length - between);
      if (between <= 2.0 * window(pair.at.apart)) return;  // round one bend, so no gap
    }
    const Vec2 way = (facing.to - facing.from) / pair.at.apart;
    if (falls(i, pair.at.t, way) || falls(k, pair.at.u, -way)) return;
    // Edges of areas: both outwards is a gap, both inwards within one area is a neck.
    const bool inwards_a = inwards(a, way);
    const bool inwards_b = inwards(b, -way);
    if (inwards_a != inwards_b) return;
    if (inwards_a && line_a.area != line_b.area) return;
    facing.neck = inwards_a;
    pairs_.push_back(pair);
  }

  bool inwards(const InkPiece& piece, Vec2 way) const {
    const InkLine& line = ink_.lines()[piece.line];
    return line.kind == InkKind::edge &&
           dot(perpendicular(piece.b - piece.a), way) * line.inside > 0.0;
  }

  bool holds(const Pair& pair) const {
    const double gap = pair.facing.gap();
    const double least = gap * (1.0 - kNarrower);
    const double reach = window(pair.facing.apart());
    const std::uint32_t line_a = ink_.pieces()[pair.first].line;
    const std::uint32_t line_b = ink_.pieces()[pair.second].line;
    if (is_touch(line_a, pair.along_first, line_b, pair.along_second, gap)) return false;
    // A few points first: they find most of what leads to a meeting.
    for (int i = -3; i <= 3; ++i) {
      const InkSpot a = ink_.spot(line_a, pair.along_first + reach * i / 3.0);
      for (int k = -3; k <= 3; ++k) {
        const InkSpot b = ink_.spot(line_b, pair.along_second + reach * k / 3.0);
        if (distance(a.at, b.at) - a.half - b.half < least) return false;
      }
    }
    const std::vector<std::uint32_t> near_a = window_of(line_a, pair.along_first, reach);
    const std::vector<std::uint32_t> near_b = window_of(line_b, pair.along_second, reach);
    for (const std::uint32_t i : near_a) {
      for (const std::uint32_t k : near_b) {
        const InkPiece& a = ink_.pieces()[i];
        const InkPiece& b = ink_.pieces()[k];
        const PieceGap c = closest(a, b);
        const double here = c.apart - a.half(c.t) - b.half(c.u);
        if (here < least) return false;
        if (is_touch(line_a,
                     a.along + c.t * distance(a.a, a.b),
                     line_b,
                     b.along + c.u * distance(b.a, b.b),
                     here)) {
          return false;
        }
      }
    }
    return sees_across(pair, reach);
  }

  std::vector<std::uint32_t> window_of(std::uint32_t line, double along, double reach) const {
    const InkLine& l = ink_.lines()[line];
    std::vector<std::uint32_t> out;
    if (l.closed && 2.0 * reach >= l.length) {
      for (std::uint32_t i = l.first; i < l.end; ++i) out.push_back(i);
      return out;
    }
    std::uint32_t i = ink_.piece_at(line, ink_.spot(line, along - reach).along);
    const std::uint32_t last = ink_.piece_at(line, ink_.spot(line, along + reach).along);
    out.push_back(i);
    while (i != last) {
      i = i + 1 == l.end ? l.first : i + 1;
      out.push_back(i);
    }
    return out;
  }

  // Is there nothing else between the two inks, and white there (or ink, for a neck)?
  bool sees_across(const Pair& pair, double reach) const {
    const Facing& f = pair.facing;
    if (ink_.in_area(f.middle()) != f.neck) return false;
    const Vec2 way = (f.to - f.from) / f.apart();
    const Vec2 from = f.from + way * f.half_from;
    const Vec2 to = f.to - way * f.half_to;
    const InkPiece across{from, to};
    const InkPiece& a = ink_.pieces()[pair.first];
    const InkPiece& b = ink_.pieces()[pair.second];
    bool clear = true;
    ink_.near(across.ink(), [&](std::uint32_t k) {
      const InkPiece& other = ink_.pieces()[k];
      if (!clear || own(other, a.line, pair.along_first, reach) ||
          own(other, b.line, pair.along_second, reach)) {
        return;
      }
      const PieceGap c = closest(across, other);
      clear = c.apart > other.half(c.u);
    });
    return clear;
  }

  bool own(const InkPiece& piece, std::uint32_t line, double along, double reach) const {
    if (piece.line != line) return false;
    const InkLine& l = ink_.lines()[line];
    double between = std::abs(piece.along - along);
    if (l.closed) between = std::min(between, l.length - between);
    return between <= reach;
  }

  double usual_, inner_, outer_, step_;
  InkPieces ink_;
  std::vector<Pair> pairs_;
};

}  // namespace

Vec2 Facing::middle() const {
  const Vec2 way = normalized(to - from);
  return ((from + way * half_from) + (to - way * half_to)) / 2.0;
}

ClosestFacings closest_facings(const Linework& lines,
                               double usual_width,
                               const std::function<double(const Facing&)>& least_scale,
                               double scale_reach,
                               double widest_neck) {
  ClosestFacings out;
  const Box box = lines.ink_box();
  const double farthest = std::hypot(box.width(), box.height());
  double inner = 0.0;
  double outer = 2.0 * usual_width;
  double largest_scale = 0.0;
  while (inner < farthest) {
    const Level level(lines, usual_width, inner, outer);
    if (!out.gap) out.gap = level.best(false, [](const Facing& f) { return f.gap(); });
    const auto limiting = level.best(false, [&](const Facing& f) { return -least_scale(f); });
    if (limiting && least_scale(*limiting) > largest_scale) {
      largest_scale = least_scale(*limiting);
      out.limiting = limiting;
    }
    if (!out.neck && inner < widest_neck) {
      out.neck = level.best(true, [](const Facing& f) { return f.apart(); });
      if (out.neck && out.neck->apart() >= widest_neck) out.neck.reset();
    }
    const bool necks_done = out.neck || outer >= widest_neck;
    if (out.gap && necks_done && largest_scale >= scale_reach / outer) break;
    inner = outer;
    outer *= 2.0;
  }
  return out;
}

}  // namespace underdraw
