#include "geometry/linework.h"

namespace underdraw {

Box Linework::ink_box() const {
  Box box;
  for (const Stroke& s : strokes) box.add(s.path.box().grown(s.width_mm / 2.0));
  for (const Area& a : areas) {
    for (const Path& ring : a.rings) box.add(ring.box());
  }
  return box;
}

double Linework::length_mm() const {
  double sum = 0.0;
  for (const Stroke& s : strokes) sum += s.path.length();
  return sum;
}

std::size_t Linework::piece_count() const {
  std::size_t n = 0;
  for (const Stroke& s : strokes) n += s.path.piece_count();
  return n;
}

void Linework::append(const Linework& more) {
  strokes.insert(strokes.end(), more.strokes.begin(), more.strokes.end());
  areas.insert(areas.end(), more.areas.begin(), more.areas.end());
}

Linework transformed(const Linework& lines, const Affine& to_from_lines) {
  Linework out;
  const double factor = to_from_lines.length_factor();
  out.strokes.reserve(lines.strokes.size());
  for (const Stroke& s : lines.strokes) {
    out.strokes.push_back({transformed(s.path, to_from_lines), s.width_mm * factor, s.widths_mm});
    for (double& width : out.strokes.back().widths_mm) width *= factor;
  }
  for (const Area& a : lines.areas) {
    Area area;
    for (const Path& ring : a.rings) area.rings.push_back(transformed(ring, to_from_lines));
    out.areas.push_back(std::move(area));
  }
  return out;
}

}  // namespace underdraw
