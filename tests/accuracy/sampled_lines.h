// Strokes as points at equal steps of length, and a grid that finds what is near a place.
//
// In/out:  linework in one frame, mm.
// Cost:    grows with the length of line; a question looks at nine cells of 0.6 mm.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "geometry/linework.h"

namespace underdraw::test {

constexpr double kSampleStep = 0.04;   // mm, most
constexpr double kLineGridCell = 0.6;  // mm; nothing farther than this is found

// One stroke that is not a dot. `s` is length from its start; point i lies at s = i * step.
struct SampledLine {
  std::vector<Vec2> points;  // a closed line repeats its first point as its last
  double step = 0.0;
  double length = 0.0;
  bool closed = false;         // also when it is open and its ends coincide
  std::vector<double> widths;  // as Stroke::widths_mm, never empty
  std::size_t piece_count = 0;

  Vec2 at(double s) const;
  Vec2 along(double s) const;  // unit direction of travel, over one step
  double width_at(double s) const;
};

bool is_dot(const Stroke& stroke);  // one point, or shorter than 0.05 mm

// All strokes of the linework that are not dots, in order.
std::vector<SampledLine> sampled_lines(const Linework& lines);

// Length positions of places where a line turns by more than 35 degrees within 0.24 mm.
std::vector<double> corners_of(const SampledLine& line);

struct LinePlace {
  int line = -1;
  double s = 0.0;
  double off = 0.0;  // distance of the place asked about
  Vec2 at;
  Vec2 along;  // unit direction of travel there
};

// Two chords that cut each other, each with its length position.
struct LineCut {
  int line_a = -1;
  int line_b = -1;
  double s_a = 0.0;
  double s_b = 0.0;
  Vec2 at;
};

// Keeps a reference to the lines.
class LineGrid {
 public:
  explicit LineGrid(const std::vector<SampledLine>& lines);

  // reach <= kLineGridCell.
  std::optional<LinePlace> nearest(Vec2 p, double reach) const;
  std::optional<LinePlace> nearest_on(int line, Vec2 p, double reach) const;
  // The nearest place of every line within reach, once for each time that a line passes by.
  std::vector<LinePlace> all_near(Vec2 p, double reach) const;
  // Every place where two lines cut, or a line cuts itself; one place may be given twice.
  std::vector<LineCut> cuts() const;

 private:
  struct Chord {
    int line;
    int index;
  };
  struct Span {
    const Chord* begin_;
    const Chord* end_;
    const Chord* begin() const { return begin_; }
    const Chord* end() const { return end_; }
  };
  Span cell(long x, long y) const;
  long column(double x) const;
  long row(double y) const;
  LinePlace place_on(Chord chord, Vec2 p) const;

  const std::vector<SampledLine>* lines_;
  Vec2 corner_;
  long columns_ = 0;
  long rows_ = 0;
  std::vector<std::size_t> first_;  // of each cell in chords_, one more at the end
  std::vector<Chord> chords_;
};

}  // namespace underdraw::test
