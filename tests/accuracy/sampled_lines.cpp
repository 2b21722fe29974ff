#include "accuracy/sampled_lines.h"

#include <algorithm>
#include <cmath>

namespace underdraw::test {
namespace {

constexpr double kDotLength = 0.05;
constexpr double kEndsCoincide = 0.01;
constexpr double kCornerChord = 0.12;
constexpr double kCornerDeg = 35.0;
constexpr double kLeastLoop = 0.3;  // a line does not cut itself within less length

SampledLine sampled_line(const Stroke& stroke) {
  const std::vector<Vec2> fine = sample(stroke.path, kSampleStep / 4.0);
  std::vector<double> reached(fine.size(), 0.0);
  for (std::size_t i = 1; i < fine.size(); ++i) {
    reached[i] = reached[i - 1] + distance(fine[i - 1], fine[i]);
  }
  SampledLine line;
  line.length = reached.back();
  const int steps = std::max(1, static_cast<int>(std::ceil(line.length / kSampleStep)));
  line.step = line.length / steps;
  line.points.reserve(static_cast<std::size_t>(steps) + 1);
  std::size_t next = 1;
  for (int i = 0; i <= steps; ++i) {
    const double s = i * line.step;
    while (next + 1 < fine.size() && reached[next] < s) ++next;
    const double span = reached[next] - reached[next - 1];
    const double t = span > 0.0 ? std::clamp((s - reached[next - 1]) / span, 0.0, 1.0) : 0.0;
    line.points.push_back(mix(fine[next - 1], fine[next], t));
  }
  line.closed = stroke.path.closed || distance(fine.front(), fine.back()) < kEndsCoincide;
  line.widths = stroke.widths_mm;
  if (line.widths.empty()) line.widths.push_back(stroke.width_mm);
  line.piece_count = stroke.path.piece_count();
  return line;
}

}  // namespace

bool is_dot(const Stroke& stroke) {
  return stroke.path.points.empty() || stroke.path.is_dot() || stroke.path.length() < kDotLength;
}

std::vector<SampledLine> sampled_lines(const Linework& lines) {
  std::vector<SampledLine> out;
  for (const Stroke& stroke : lines.strokes) {
    if (!is_dot(stroke)) out.push_back(sampled_line(stroke));
  }
  return out;
}

Vec2 SampledLine::at(double s) const {
  if (closed && length > 0.0) s -= length * std::floor(s / length);
  const double place = std::clamp(s / step, 0.0, static_cast<double>(points.size() - 1));
  const auto i = std::min(static_cast<std::size_t>(place), points.size() - 2);
  return mix(points[i], points[i + 1], place - static_cast<double>(i));
}

Vec2 SampledLine::along(double s) const {
  const double half = step / 2.0;
  if (closed) return normalized(at(s + half) - at(s - half));
  return normalized(at(std::min(s + half, length)) - at(std::max(s - half, 0.0)));
}

double SampledLine::width_at(double s) const {
  if (widths.size() == 1) return widths.front();
  const double place = std::clamp(s / length, 0.0, 1.0) * static_cast<double>(widths.size() - 1);
  const auto i = std::min(static_cast<std::size_t>(place), widths.size() - 2);
  const double t = place - static_cast<double>(i);
  return widths[i] * (1.0 - t) + widths[i + 1] * t;
}

std::vector<double> corners_of(const SampledLine& line) {
  const int window = std::max(1, static_cast<int>(std::lround(kCornerChord / line.step)));
  const int n = static_cast<int>(line.points.size());
  const int ring = n - 1;  // points of a closed line without the repeated one
  std::vector<double> turn(line.points.size(), 0.0);
  for (int i = 0; i < n; ++i) {
    int before = i - window;
    int after = i + window;
    if (line.closed) {
      before = ((before % ring) + ring) % ring;
      after = after % ring;
    } else if (before < 0 || after >= n) {
      continue;
    }
    const auto at = [&](int k) { return line.points[static_cast<std::size_t>(k)]; };
    turn[static_cast<std::size_t>(i)] = angle_between(at(i) - at(before), at(after) - at(i));
  }
  std::vector<double> out;
  for (int i = 0; i < n; ++i) {
    const double here = turn[static_cast<std::size_t>(i)];
    if (here < radians(kCornerDeg)) continue;
    bool highest = true;
    for (int k = std::max(0, i - window); k <= std::min(n - 1, i + window); ++k) {
      const double there = turn[static_cast<std::size_t>(k)];
      if (there > here || (there == here && k < i)) highest = false;
    }
    if (highest) out.push_back(i * line.step);
  }
  return out;
}

LineGrid::LineGrid(const std::vector<SampledLine>& lines) : lines_(&lines) {
  Box box;
  for (const SampledLine& line : lines) {
    for (const Vec2 p : line.points) box.add(p);
  }
  if (box.empty()) box.add(Vec2{});
  corner_ = box.min;
  columns_ = static_cast<long>(box.width() / kLineGridCell) + 1;
  rows_ = static_cast<long>(box.height() / kLineGridCell) + 1;
  first_.assign(static_cast<std::size_t>(columns_ * rows_) + 1, 0);
  // Counted first and filled in the second round, so that a cell's chords lie together.
  const auto visit = [&](const auto& take) {
    for (std::size_t l = 0; l < lines.size(); ++l) {
      const std::vector<Vec2>& p = lines[l].points;
      for (std::size_t i = 0; i + 1 < p.size(); ++i) {
        const long x0 = column(std::min(p[i].x, p[i + 1].x));
        const long x1 = column(std::max(p[i].x, p[i + 1].x));
        const long y0 = row(std::min(p[i].y, p[i + 1].y));
        const long y1 = row(std::max(p[i].y, p[i + 1].y));
        for (long y = y0; y <= y1; ++y) {
          for (long x = x0; x <= x1; ++x) {
            take(static_cast<std::size_t>(y * columns_ + x),
                 Chord{static_cast<int>(l), static_cast<int>(i)});
          }
        }
      }
    }
  };
  visit([&](std::size_t c, Chord) { ++first_[c + 1]; });
  for (std::size_t c = 1; c < first_.size(); ++c) first_[c] += first_[c - 1];
  chords_.resize(first_.back());
  std::vector<std::size_t> next(first_.begin(), first_.end() - 1);
  visit([&](std::size_t c, Chord chord) { chords_[next[c]++] = chord; });
}

long LineGrid::column(double x) const {
  return std::clamp(
      static_cast<long>(std::floor((x - corner_.x) / kLineGridCell)), -2L, columns_ + 1);
}

long LineGrid::row(double y) const {
  return std::clamp(static_cast<long>(std::floor((y - corner_.y) / kLineGridCell)), -2L, rows_ + 1);
}

LineGrid::Span LineGrid::cell(long x, long y) const {
  if (x < 0 || y < 0 || x >= columns_ || y >= rows_) return {nullptr, nullptr};
  const auto c = static_cast<std::size_t>(y * columns_ + x);
  return {chords_.data() + first_[c], chords_.data() + first_[c + 1]};
}

LinePlace LineGrid::place_on(Chord chord, Vec2 p) const {
  const SampledLine& line = (*lines_)[static_cast<std::size_t>(chord.line)];
  const Vec2 a = line.points[static_cast<std::size_t>(chord.index)];
  const Vec2 b = line.points[static_cast<std::size_t>(chord.index) + 1];
  const double squared = dot(b - a, b - a);
  const double t = squared > 0.0 ? std::clamp(dot(p - a, b - a) / squared, 0.0, 1.0) : 0.0;
  const Vec2 at = mix(a, b, t);
  return {chord.line, (chord.index + t) * line.step, distance(p, at), at, b - a};
}

std::optional<LinePlace> LineGrid::nearest(Vec2 p, double reach) const {
  LinePlace best;
  best.off = reach;
  const long cx = column(p.x);
  const long cy = row(p.y);
  for (long y = cy - 1; y <= cy + 1; ++y) {
    for (long x = cx - 1; x <= cx + 1; ++x) {
      for (const Chord chord : cell(x, y)) {
        const LinePlace place = place_on(chord, p);
        if (place.off <= best.off) best = place;
      }
    }
  }
  if (best.line < 0) return {};
  best.along = normalized(best.along);
  return best;
}

std::optional<LinePlace> LineGrid::nearest_on(int line, Vec2 p, double reach) const {
  LinePlace best;
  best.off = reach;
  const long cx = column(p.x);
  const long cy = row(p.y);
  for (long y = cy - 1; y <= cy + 1; ++y) {
    for (long x = cx - 1; x <= cx + 1; ++x) {
      for (const Chord chord : cell(x, y)) {
        if (chord.line != line) continue;
        const LinePlace place = place_on(chord, p);
        if (place.off <= best.off) best = place;
      }
    }
  }
  if (best.line < 0) return {};
  best.along = normalized(best.along);
  return best;
}

std::vector<LinePlace> LineGrid::all_near(Vec2 p, double reach) const {
  struct Near {
    Chord chord;
    LinePlace place;
  };
  std::vector<Near> near;
  const long cx = column(p.x);
  const long cy = row(p.y);
  for (long y = cy - 1; y <= cy + 1; ++y) {
    for (long x = cx - 1; x <= cx + 1; ++x) {
      for (const Chord chord : cell(x, y)) {
        const LinePlace place = place_on(chord, p);
        if (place.off <= reach) near.push_back({chord, place});
      }
    }
  }
  std::sort(near.begin(), near.end(), [](const Near& a, const Near& b) {
    return a.chord.line != b.chord.line ? a.chord.line < b.chord.line
                                        : a.chord.index < b.chord.index;
  });
  std::vector<LinePlace> out;
  std::vector<bool> starts_line;  // the pass holds the line's first chord
  for (std::size_t i = 0; i < near.size(); ++i) {
    const bool same_pass = i > 0 && near[i - 1].chord.line == near[i].chord.line &&
                           near[i].chord.index <= near[i - 1].chord.index + 2;
    if (!same_pass) {
      out.push_back(near[i].place);
      starts_line.push_back(near[i].chord.index == 0);
    } else if (near[i].place.off < out.back().off) {
      out.back() = near[i].place;
    }
    // A closed line's last pass may be its first one continued.
    const SampledLine& line = (*lines_)[static_cast<std::size_t>(near[i].chord.line)];
    const bool line_ends_here =
        i + 1 == near.size() || near[i + 1].chord.line != near[i].chord.line;
    if (line_ends_here && line.closed &&
        near[i].chord.index + 2 == static_cast<int>(line.points.size())) {
      for (std::size_t k = 0; k + 1 < out.size(); ++k) {
        if (out[k].line != near[i].chord.line || !starts_line[k]) continue;
        if (out.back().off < out[k].off) out[k] = out.back();
        out.pop_back();
        starts_line.pop_back();
        break;
      }
    }
  }
  for (LinePlace& place : out) place.along = normalized(place.along);
  return out;
}

std::vector<LineCut> LineGrid::cuts() const {
  constexpr double kSlack = 1e-9;  // of a chord, so that a cut through a point is not lost
  std::vector<LineCut> out;
  const auto try_pair = [&](Chord a, Chord b) {
    const SampledLine& la = (*lines_)[static_cast<std::size_t>(a.line)];
    const SampledLine& lb = (*lines_)[static_cast<std::size_t>(b.line)];
    if (a.line == b.line) {
      double apart = std::abs(a.index - b.index) * la.step;
      if (la.closed) apart = std::min(apart, la.length - apart);
      if (apart < kLeastLoop) return;
    }
    const Vec2 p = la.points[static_cast<std::size_t>(a.index)];
    const Vec2 u = la.points[static_cast<std::size_t>(a.index) + 1] - p;
    const Vec2 q = lb.points[static_cast<std::size_t>(b.index)];
    const Vec2 v = lb.points[static_cast<std::size_t>(b.index) + 1] - q;
    const double across = cross(u, v);
    if (std::abs(across) <= 1e-12 * length(u) * length(v)) return;
    const double t = cross(q - p, v) / across;
    const double w = cross(q - p, u) / across;
    if (t < -kSlack || t > 1.0 + kSlack || w < -kSlack || w > 1.0 + kSlack) return;
    out.push_back({a.line, b.line, (a.index + t) * la.step, (b.index + w) * lb.step, p + u * t});
  };
  for (std::size_t c = 0; c + 1 < first_.size(); ++c) {
    for (std::size_t i = first_[c]; i < first_[c + 1]; ++i) {
      for (std::size_t k = i + 1; k < first_[c + 1]; ++k) try_pair(chords_[i], chords_[k]);
    }
  }
  return out;
}

}  // namespace underdraw::test
