// How fine a drawing is: its closest gap, its thinnest parts, and how small it may be made before
// a given pencil, pen or brush runs its lines together.
//
// Stage:   motif. Pure.
// In/out:  mm in the frame of the linework. Work grows with the number of lines near each other,
//          not with the square of all.
// A gap:   the white between the inks (widths along a stroke when known) of two stretches that run
//          beside each other. Two places face each other across a gap when
//          - nothing else lies between them, and
//          - within a window along both lines, of 1.5 times the distance of the lines and of 3 pen
//            widths at least, the white is nowhere more than 5 % narrower.
//          So lines that meet, cross or touch have no gap there: next to a T, X, Y or a corner the
//          white only narrows into it, and lines that part at less than about 2° count once they
//          have run apart for a while. The same line counts against itself when its two stretches
//          are more than two windows apart along it (a hairpin's or spiral's sides, not the round
//          of its bend). An end within a quarter of a pen width of other ink was meant to meet it.
// A loop:  white that ink closes in all round; its width is its largest disc's diameter.
// Limits:  white narrower than half a pen width as drawn limits no size: the hand that drew it did
//          not keep it open either. The closest gap is told all the same.
// Refuses: options outside their ranges (OptionError), coordinates beyond 100 m (GeometryError).
// Source:  own construction. At scale k a gap is k × distance of the lines − pen, because the pen
//          keeps its width; an area's outline and a dot above the pen's width scale.
#pragma once

#include <optional>
#include <string>

#include "geometry/linework.h"

namespace underdraw {

struct LineTool {
  double width_mm = 0.5;  // what it lays down; [0.02, 50]
  double gap_mm = 0.1;    // white that must stay between two lines; 0: until they touch; [0, 50]

  void validate() const;  // throws OptionError
};

struct DetailGap {
  double gap_mm = 0.0;  // white between the inks as drawn
  Vec2 from, to;        // on the edges of the inks
  std::string between;  // "two lines", "two stretches of one line", "a line and a dot", …
};

struct DetailPart {
  double width_mm = 0.0;
  Vec2 at;
};

struct LineDetail {
  std::optional<DetailGap> closest_gap;
  std::optional<DetailPart> thinnest_line;  // tapered ends left out
  std::optional<DetailPart> thinnest_area;  // its narrowest neck, or its width at its widest place
  std::optional<DetailPart> smallest_dot;   // diameter
  std::optional<DetailPart> smallest_loop;  // inner width

  // Smallest factor at which every gap and loop that was kept open is at least tool.gap_mm wide;
  // above 1 the drawing is too fine at its own size, 0 when nothing limits it. Thin lines, areas
  // and dots limit nothing: the tool lays down its own width.
  double least_scale = 0.0;
  Vec2 limit_at;       // what limits it
  std::string reason;  // "two lines come 0.40 mm close"

  bool reads_at(double scale) const { return scale >= least_scale * (1.0 - 1e-9); }
};

LineDetail line_detail(const Linework& lines, const LineTool& tool = {});

}  // namespace underdraw
