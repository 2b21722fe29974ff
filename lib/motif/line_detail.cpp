#include "motif/line_detail.h"

#include <fmt/format.h>

#include "core/error.h"
#include "motif/closed_loops.h"
#include "motif/closest_lines.h"

namespace underdraw {
namespace {

// Narrower white, in pen widths as drawn, was not kept open by the hand that drew it either.
constexpr double kKeptOpenWidths = 0.5;

// Mean pen width along all lines: what "a pen width" means for a drawing of several. Without lines,
// that of the dots; without dots, a hundredth of the drawing.
double usual_width(const Linework& lines) {
  double length = 0.0;
  double ink = 0.0;
  double dots = 0.0;
  double diameters = 0.0;
  for (const Stroke& stroke : lines.strokes) {
    const double along = stroke.path.length();
    length += along;
    ink += along * stroke.width_mm;
    if (along > 0.0 || stroke.path.points.empty()) continue;
    dots += 1.0;
    diameters += stroke.width_mm;
  }
  const Box box = lines.ink_box();
  const double size = std::hypot(box.width(), box.height());
  const double width = length > 0.0 ? ink / length : dots > 0.0 ? diameters / dots : size / 100.0;
  return std::max(width, size * 1e-4);  // lines of next to no width still get a window
}

void keep_least(std::optional<DetailPart>& least, double width, Vec2 at) {
  if (!least || width < least->width_mm) least = DetailPart{width, at};
}

// Half the line's own width at either end is where it tapers.
void keep_thinnest(LineDetail& detail, const Stroke& stroke) {
  const double length = stroke.path.length();
  const std::vector<double>& widths = stroke.widths_mm;
  const std::vector<Vec2> points = sample(stroke.path, std::max(length / 200.0, 1e-9));
  if (widths.size() < 3 || length <= 4.0 * stroke.width_mm) {
    keep_least(detail.thinnest_line, stroke.width_mm, points[points.size() / 2]);
    return;
  }
  const double step = length / static_cast<double>(widths.size() - 1);
  std::size_t near = 0;
  double along = 0.0;
  for (std::size_t i = 0; i < widths.size(); ++i) {
    const double here = step * static_cast<double>(i);
    while (near + 1 < points.size() && along < here) {
      along += distance(points[near], points[near + 1]);
      ++near;
    }
    const bool tapers = !stroke.path.closed && std::min(here, length - here) < stroke.width_mm;
    if (!tapers) keep_least(detail.thinnest_line, widths[i], points[near]);
  }
}

void keep_parts(LineDetail& detail, const Linework& lines) {
  for (const Stroke& stroke : lines.strokes) {
    if (stroke.path.points.empty()) continue;
    if (stroke.path.length() > 0.0) {
      keep_thinnest(detail, stroke);
    } else {
      keep_least(detail.smallest_dot, stroke.width_mm, stroke.path.points.front());
    }
  }
}

// Smallest k with k × apart − what the tool lays down on both sides >= the least gap. A stroke
// takes half a pen, an area's outline nothing, and a dot half a pen or its own radius, whichever is
// more: the larger k of either reading.
double scale_for(double apart,
                 InkKind kind_from,
                 double half_from,
                 InkKind kind_to,
                 double half_to,
                 const LineTool& tool) {
  double most = 0.0;
  for (const bool own_from : {false, true}) {
    if (own_from && kind_from != InkKind::dot) continue;
    for (const bool own_to : {false, true}) {
      if (own_to && kind_to != InkKind::dot) continue;
      double pens = 0.0;
      double left = apart;
      (own_from ? left -= half_from : pens += kind_from == InkKind::edge ? 0.0 : 0.5);
      (own_to ? left -= half_to : pens += kind_to == InkKind::edge ? 0.0 : 0.5);
      most = std::max(most, (tool.gap_mm + pens * tool.width_mm) / left);
    }
  }
  return most;
}

std::string named(const Facing& facing) {
  const auto is = [&](InkKind a, InkKind b) {
    return (facing.kind_from == a && facing.kind_to == b) ||
           (facing.kind_from == b && facing.kind_to == a);
  };
  if (is(InkKind::dot, InkKind::dot)) return "two dots";
  if (is(InkKind::stroke, InkKind::dot)) return "a line and a dot";
  if (is(InkKind::stroke, InkKind::edge)) return "a line and a solid area";
  if (is(InkKind::dot, InkKind::edge)) return "a dot and a solid area";
  if (is(InkKind::edge, InkKind::edge)) {
    return facing.same_line ? "two sides of a solid area" : "two edges of solid areas";
  }
  return facing.same_line ? "two stretches of one line" : "two lines";
}

// The ink nearest to a loop's middle says what the tool will lay down round it.
double scale_for_loop(const DetailPart& loop, const InkPieces& ink, const LineTool& tool) {
  double least = std::numeric_limits<double>::infinity();
  InkKind kind = InkKind::stroke;
  double half = 0.0;
  const InkPiece middle{loop.at, loop.at};
  for (const InkPiece& piece : ink.pieces()) {
    const PieceGap gap = closest(middle, piece);
    const double white = gap.apart - piece.half(gap.u);
    if (white >= least) continue;
    least = white;
    kind = ink.lines()[piece.line].kind;
    half = piece.half(gap.u);
  }
  return scale_for(loop.width_mm + 2.0 * half, kind, half, kind, half, tool);
}

}  // namespace

void LineTool::validate() const {
  require_between(width_mm, 0.02, 50.0, "line width", "mm");
  require_between(gap_mm, 0.0, 50.0, "line gap", "mm");
}

LineDetail line_detail(const Linework& lines, const LineTool& tool) {
  tool.validate();
  LineDetail detail;
  if (lines.empty()) return detail;
  keep_parts(detail, lines);
  const double usual = usual_width(lines);
  if (usual <= 0.0) return detail;
  const double fine = usual * 0.002;

  if (const auto area = narrowest_area(lines, fine)) {
    detail.thinnest_area = DetailPart{area->width, area->at};
  }
  const auto scale_of = [&](const Facing& f) {
    if (f.gap() < kKeptOpenWidths * usual) return 0.0;
    return scale_for(f.apart(), f.kind_from, f.half_from, f.kind_to, f.half_to, tool);
  };
  const ClosestFacings found =
      closest_facings(lines,
                      usual,
                      scale_of,
                      tool.gap_mm + tool.width_mm,
                      detail.thinnest_area ? detail.thinnest_area->width_mm : 0.0);
  if (found.neck) detail.thinnest_area = DetailPart{found.neck->apart(), found.neck->middle()};
  if (found.gap) {
    const Vec2 way = normalized(found.gap->to - found.gap->from);
    detail.closest_gap = DetailGap{found.gap->gap(),
                                   found.gap->from + way * found.gap->half_from,
                                   found.gap->to - way * found.gap->half_to,
                                   named(*found.gap)};
  }
  if (found.limiting) {
    detail.least_scale = scale_of(*found.limiting);
    detail.limit_at = found.limiting->middle();
    detail.reason =
        fmt::format("{} come {:.2f} mm close", named(*found.limiting), found.limiting->gap());
  }
  if (const auto loop = smallest_loop(lines, fine, kKeptOpenWidths * usual)) {
    detail.smallest_loop = DetailPart{loop->width, loop->at};
    const double scale =
        scale_for_loop(*detail.smallest_loop, InkPieces(lines, fine, usual, usual), tool);
    if (scale > detail.least_scale) {
      detail.least_scale = scale;
      detail.limit_at = loop->at;
      detail.reason = fmt::format("a closed loop is {:.2f} mm wide inside", loop->width);
    }
  }
  return detail;
}

}  // namespace underdraw
