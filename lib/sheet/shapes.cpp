#include "sheet/shapes.h"

#include <algorithm>
#include <cmath>

namespace underdraw {
namespace {

// Quarter circle by one cubic: T. Goldapp, "Approximation of circular arcs by cubic polynomials",
// CAGD 8 (1991).
constexpr double kQuarter = 0.5522847498;

// From `from`, heading towards `corner`, to `to`.
Cubic quarter(Vec2 from, Vec2 corner, Vec2 to) {
  return {from, mix(from, corner, kQuarter), mix(to, corner, kQuarter), to};
}

Cubic straight(Vec2 from, Vec2 to) {
  return {from, mix(from, to, 1.0 / 3.0), mix(from, to, 2.0 / 3.0), to};
}

}  // namespace

Path line_between(Vec2 from, Vec2 to) { return Path::polyline({from, to}); }

Path rectangle(const Box& box) {
  return Path::polyline({box.min, {box.max.x, box.min.y}, box.max, {box.min.x, box.max.y}}, true);
}

Path rounded_rectangle(const Box& box, double radius_mm) {
  const double r = std::min({radius_mm, box.width() / 2.0, box.height() / 2.0});
  const Vec2 corner[4] = {
      {box.max.x, box.min.y}, box.max, {box.min.x, box.max.y}, box.min};  // clockwise on paper
  const Vec2 heading[4] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  Path path;
  path.closed = true;
  Vec2 at = box.min + Vec2{r, 0};
  for (int i = 0; i < 4; ++i) {
    const Vec2 before = corner[i] - heading[i] * r;
    const Vec2 after = corner[i] + heading[(i + 1) % 4] * r;
    path.append(straight(at, before));
    path.append(quarter(before, corner[i], after));
    at = after;
  }
  path.points.back() = path.points.front();
  return path;
}

Path circle(Vec2 centre, double radius_mm) {
  return rounded_rectangle(Box{centre, centre}.grown(radius_mm), radius_mm);
}

std::vector<PathMark> linework_marks(const Linework& lines, double least_width_mm, Grey colour) {
  std::vector<PathMark> marks;
  for (const Area& area : lines.areas) {
    PathMark mark;
    mark.paths = area.rings;
    mark.line_width_mm = 0.0;
    mark.filled = true;
    mark.fill = colour;
    marks.push_back(std::move(mark));
  }
  for (const Stroke& stroke : lines.strokes) {
    PathMark mark;
    mark.paths = {stroke.path};
    mark.line_width_mm = std::max(stroke.width_mm, least_width_mm);
    mark.line = colour;
    marks.push_back(std::move(mark));
  }
  return marks;
}

SharedMark LookOfMotifs::laid(const std::string& motif,
                              const Affine& page_from_motif,
                              const Make& make) {
  constexpr double kSteps = 1e9;  // sizes that differ by less are the same
  const double scale = page_from_motif.length_factor();
  Marks& marks = known_[{motif, std::llround(scale * kSteps)}];
  if (!marks) marks = std::make_shared<std::vector<PathMark>>(make(Affine::scale(scale)));
  return {marks, page_from_motif * Affine::scale(1.0 / scale)};
}

std::vector<PathMark> marks_of(const SharedMark& shared) {
  std::vector<PathMark> out = *shared.marks;
  for (PathMark& mark : out) {
    for (Path& path : mark.paths) path = transformed(path, shared.page_from_marks);
  }
  return out;
}

std::vector<Mark> up_arrow(const Box& box, Grey colour) {
  const double x = box.centre().x;
  const double head = std::min(box.height() / 2.0, 1.1 * box.width());
  PathMark shaft;
  shaft.line_width_mm = 0.4;
  shaft.line = colour;
  shaft.paths = {line_between({x, box.min.y + 0.6 * head}, {x, box.max.y - 0.2})};
  PathMark tip;
  tip.line_width_mm = 0.0;
  tip.filled = true;
  tip.fill = colour;
  tip.paths = {Path::polyline({{x, box.min.y},
                               {box.max.x, box.min.y + head},
                               {x, box.min.y + 0.75 * head},
                               {box.min.x, box.min.y + head}},
                              true)};
  return {shaft, tip};
}

Mark moved(const Mark& mark, const Affine& to_from_mark) {
  Mark out = mark;
  if (auto* path = std::get_if<PathMark>(&out)) {
    for (Path& p : path->paths) p = transformed(p, to_from_mark);
  } else if (auto* shared = std::get_if<SharedMark>(&out)) {
    shared->page_from_marks = to_from_mark * shared->page_from_marks;
  } else {
    TextMark& text = std::get<TextMark>(out);
    text.at = to_from_mark * text.at;
    text.turn_deg += degrees(std::atan2(to_from_mark.yx, to_from_mark.xx));
  }
  return out;
}

Box moved(const Box& box, const Affine& to_from_box) {
  Box out;
  for (const Vec2 corner :
       {box.min, Vec2{box.max.x, box.min.y}, box.max, Vec2{box.min.x, box.max.y}}) {
    out.add(to_from_box * corner);
  }
  return out;
}

}  // namespace underdraw
