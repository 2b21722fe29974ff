#include "accuracy/page_side.h"

#include <algorithm>
#include <cmath>

namespace underdraw::test {
namespace {

constexpr double kInPlace = 0.35;
constexpr double kFlatOff = 0.04;  // along a line that parts at a flat angle, this far off
constexpr double kFlatMost = 1.0;
constexpr double kCell = 3.0;

std::vector<SampledLine> with_outlines(std::vector<SampledLine> lines, const Linework& from) {
  Linework rings;
  for (const Area& area : from.areas) {
    for (const Path& ring : area.rings) rings.strokes.push_back({ring, 0.5});
  }
  for (SampledLine& ring : sampled_lines(rings)) lines.push_back(std::move(ring));
  return lines;
}

}  // namespace

PageSide::PageSide(const Linework& from, double kiss_mm)
    : lines(sampled_lines(from)),
      line_grid(lines),
      all(with_outlines(lines, from)),
      all_grid(all),
      meetings(find_meetings(lines, line_grid, kiss_mm)),
      meeting_points(kCell) {
  for (const Meeting& m : meetings.meetings) meeting_points.add(m.at);
  for (const Stroke& stroke : from.strokes) {
    if (is_dot(stroke) && !stroke.path.points.empty()) dots.push_back(stroke.path.points.front());
  }
}

double in_place_mm(const Meeting& drawn) {
  const double flat = std::min(kFlatMost, kFlatOff / std::max(std::sin(drawn.least_angle), 1e-3));
  return std::max({kInPlace, drawn.width / 2.0, flat});
}

}  // namespace underdraw::test
