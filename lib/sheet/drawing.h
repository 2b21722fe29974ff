// A page to be drawn, as plain marks: what every printed page and preview is made of.
//
// Stage:   sheet. Pure: laying out makes a Drawing, lib/io/ writes it as PDF, SVG or PNG.
// Frame:   sheet, mm, origin top left, x right, y down.
#pragma once

#include <memory>
#include <string>
#include <variant>
#include <vector>

#include "geometry/linework.h"

namespace underdraw {

struct Grey {
  double lightness = 0.0;  // 0 black, 1 white
};

// Lines or filled shapes of one look.
struct PathMark {
  std::vector<Path> paths;
  double line_width_mm = 0.3;  // 0: no outline
  Grey line;
  std::vector<double> dashes_mm;  // on, off, …; empty: solid
  bool filled = false;            // even-odd over all paths
  Grey fill;
  bool cut = false;  // scissors or a cutter follow it
};

enum class Align { left, centre, right };

struct TextMark {
  std::string text;        // UTF-8, one line
  Vec2 at;                 // on the baseline
  double height_mm = 3.0;  // font size
  Align align = Align::left;
  bool bold = false;
  double turn_deg = 0.0;  // about `at`, clockwise on paper
  Grey colour;
};

// Marks that stand on pages many times: files hold them once, and say where they lie.
struct SharedMark {
  std::shared_ptr<const std::vector<PathMark>> marks;
  Affine page_from_marks;  // moved, turned, mirrored; never scaled, so that line widths are true
};

using Mark = std::variant<PathMark, TextMark, SharedMark>;

struct Drawing {
  double width_mm = 210.0;
  double height_mm = 297.0;
  std::vector<Mark> marks;  // in the order in which they are painted
};

}  // namespace underdraw
