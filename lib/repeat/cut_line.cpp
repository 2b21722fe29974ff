#include "repeat/cut_line.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace underdraw {
namespace {

constexpr int kParts = 16;  // of each curve, at whose ends the length so far is known
// A cut line's widths are told this many times more often, since its steps fall elsewhere.
constexpr double kFiner = 8.0;

// A line's curves as one parameter: curve number + t.
class Course {
 public:
  explicit Course(const Stroke& stroke) : stroke_(stroke) {
    along_.push_back(0.0);
    for (std::size_t i = 0; i < stroke.path.piece_count(); ++i) {
      const Cubic c = stroke.path.piece(i);
      for (int k = 0; k < kParts; ++k) {
        // Simpson's rule on the speed.
        const double t0 = static_cast<double>(k) / kParts;
        const double h = 1.0 / kParts;
        const double sum = underdraw::length(c.derivative(t0)) +
                           4.0 * underdraw::length(c.derivative(t0 + h / 2.0)) +
                           underdraw::length(c.derivative(t0 + h));
        along_.push_back(along_.back() + sum * h / 6.0);
      }
    }
    const std::vector<double>& widths = stroke.widths_mm;
    if (widths.size() < 2 || length() <= 0.0) return;
    const double step = length() / static_cast<double>(widths.size() - 1);
    for (std::size_t i = 1; i < widths.size(); ++i) {
      steepest_ = std::max(steepest_, std::abs(widths[i] - widths[i - 1]) / step);
    }
  }

  double length() const { return along_.back(); }
  double steepest() const { return steepest_; }  // change of width along the line

  double along(double u) const {
    const double at = std::clamp(u, 0.0, static_cast<double>(stroke_.path.piece_count())) * kParts;
    const std::size_t i = std::min(static_cast<std::size_t>(at), along_.size() - 2);
    return std::lerp(along_[i], along_[i + 1], at - static_cast<double>(i));
  }

  double width_at(double along) const {
    const std::vector<double>& widths = stroke_.widths_mm;
    if (widths.empty()) return stroke_.width_mm;
    if (widths.size() == 1) return widths.front();
    const double last = static_cast<double>(widths.size() - 1);
    const double at = std::clamp(along / length(), 0.0, 1.0) * last;
    const std::size_t i = std::min(static_cast<std::size_t>(at), widths.size() - 2);
    return std::lerp(widths[i], widths[i + 1], at - static_cast<double>(i));
  }

 private:
  const Stroke& stroke_;
  std::vector<double> along_;
  double steepest_ = 0.0;
};

struct Span {
  double from = 0.0, to = 0.0;
};

// The part of a curve between two parameters.
Cubic part(const Cubic& c, double from, double to) {
  if (from <= 0.0 && to >= 1.0) return c;
  const Cubic before = to >= 1.0 ? c : split(c, to).before;
  return from <= 0.0 ? before : split(before, from / to).after;
}

void append_span(Path& path, const Path& whole, Span span) {
  for (auto i = static_cast<std::size_t>(span.from); i < whole.piece_count(); ++i) {
    const auto at = static_cast<double>(i);
    if (at >= span.to) break;
    const double from = std::max(span.from - at, 0.0);
    const double to = std::min(span.to - at, 1.0);
    if (to > from) path.append(part(whole.piece(i), from, to));
  }
}

class Cutter {
 public:
  Cutter(const Stroke& stroke, const EdgeField& field, double gap, double tolerance)
      : stroke_(stroke), field_(field), gap_(gap), tolerance_(tolerance), course_(stroke) {}

  LineCut cut() const {
    std::vector<Span> spans = free_spans();
    const auto end = static_cast<double>(stroke_.path.piece_count());
    LineCut out;
    if (spans.size() == 1 && spans[0].from <= 0.0 && spans[0].to >= end) {
      out.whole = true;
      return out;
    }
    // On a closed line the last part runs on into the first.
    const bool joins = stroke_.path.closed && spans.size() > 1 && spans.front().from <= 0.0 &&
                       spans.back().to >= end;
    for (std::size_t i = joins ? 1 : 0; i < spans.size(); ++i) {
      std::vector<Span> parts = {spans[i]};
      if (joins && i + 1 == spans.size()) parts.push_back(spans.front());
      out.pieces.push_back(piece(parts));
    }
    return out;
  }

 private:
  // At least 0 where the line may stay.
  double room(const Cubic& c, std::size_t i, double t) const {
    const double half = stroke_.widths_mm.empty()
                            ? stroke_.width_mm / 2.0
                            : course_.width_at(course_.along(static_cast<double>(i) + t)) / 2.0;
    return field_.at(c.at(t)) - gap_ - half;
  }

  std::vector<Span> free_spans() const {
    std::vector<Span> spans;
    bool free = false;
    for (std::size_t i = 0; i < stroke_.path.piece_count(); ++i) {
      const Cubic c = stroke_.path.piece(i);
      const auto start = static_cast<double>(i);
      // Room changes no faster than the point moves, and half its width.
      const double speed =
          3.0 * std::max({distance(c.p0, c.p1), distance(c.p1, c.p2), distance(c.p2, c.p3)}) *
          (1.0 + course_.steepest() / 2.0);
      double t = 0.0;
      double here = room(c, i, 0.0);
      if (i == 0 && here >= 0.0) spans.push_back({0.0, 0.0});
      if (i == 0) free = here >= 0.0;
      while (t < 1.0 && speed > 0.0) {
        const double next = std::min(1.0, t + std::max(std::abs(here), tolerance_ / 2.0) / speed);
        const double there = room(c, i, next);
        if ((there >= 0.0) != free) {
          const double at = start + edge_between(c, i, t, next, free);
          free = !free;
          if (free) {
            spans.push_back({at, at});
          } else {
            spans.back().to = at;
          }
        }
        t = next;
        here = there;
      }
    }
    if (free) spans.back().to = static_cast<double>(stroke_.path.piece_count());
    return spans;
  }

  // Where room changes its sign, on the side that stays.
  double edge_between(const Cubic& c, std::size_t i, double from, double to, bool from_free) const {
    for (int n = 0; n < 60 && to - from > 1e-15; ++n) {
      const double middle = (from + to) / 2.0;
      ((room(c, i, middle) >= 0.0) == from_free ? from : to) = middle;
    }
    return from_free ? from : to;
  }

  Stroke piece(const std::vector<Span>& parts) const {
    Stroke out{{}, stroke_.width_mm};
    double length = 0.0;
    for (const Span& span : parts) {
      append_span(out.path, stroke_.path, span);
      length += course_.along(span.to) - course_.along(span.from);
    }
    if (out.path.points.empty()) {  // a single place was free
      const auto i =
          std::min(static_cast<std::size_t>(parts[0].from), stroke_.path.piece_count() - 1);
      out.path.points.push_back(stroke_.path.piece(i).at(parts[0].from - static_cast<double>(i)));
    }
    const std::vector<double>& widths = stroke_.widths_mm;
    if (widths.size() < 2) {
      out.widths_mm = widths;
      return out;
    }
    const double steps = kFiner * static_cast<double>(widths.size() - 1) * length /
                         std::max(course_.length(), 1e-300);
    const auto count = static_cast<std::size_t>(std::max(1.0, std::ceil(steps)));
    const double first = course_.along(parts[0].to) - course_.along(parts[0].from);
    for (std::size_t k = 0; k <= count; ++k) {
      const double at = length * static_cast<double>(k) / static_cast<double>(count);
      out.widths_mm.push_back(at <= first || parts.size() == 1
                                  ? course_.width_at(course_.along(parts[0].from) + at)
                                  : course_.width_at(course_.along(parts[1].from) + at - first));
    }
    // The mean as a traced line's is: of the widths at equal steps.
    out.width_mm = std::accumulate(out.widths_mm.begin(), out.widths_mm.end(), 0.0) /
                   static_cast<double>(out.widths_mm.size());
    return out;
  }

  const Stroke& stroke_;
  const EdgeField& field_;
  double gap_, tolerance_;
  Course course_;
};

}  // namespace

LineCut cut_line(const Stroke& stroke, const EdgeField& field, double gap_mm, double tolerance_mm) {
  return Cutter(stroke, field, gap_mm, tolerance_mm).cut();
}

double largest_width(const Stroke& stroke) {
  double most = stroke.width_mm;
  for (const double width : stroke.widths_mm) most = std::max(most, width);
  return most;
}

}  // namespace underdraw
