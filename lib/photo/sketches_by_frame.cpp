#include "photo/sketches_by_frame.h"

#include <algorithm>
#include <map>

namespace underdraw {
namespace {

constexpr double kStepMm = 0.5;

// The frame that is nearest to a place: 0 mm inside of it.
std::size_t frame_at(const DrawingSheet& sheet, Vec2 at) {
  std::size_t best = 0;
  double nearest = 1e300;
  for (std::size_t f = 0; f < sheet.frames.size(); ++f) {
    const Box& frame = sheet.frames[f];
    const Vec2 off{std::max({0.0, frame.min.x - at.x, at.x - frame.max.x}),
                   std::max({0.0, frame.min.y - at.y, at.y - frame.max.y})};
    const double away = dot(off, off);
    if (away >= nearest) continue;
    nearest = away;
    best = f;
  }
  return best;
}

// By length along the path; a dot by where it is.
std::size_t frame_of(const DrawingSheet& sheet, const Path& path) {
  const std::vector<Vec2> line = sample(path, kStepMm);
  if (line.size() < 2) return frame_at(sheet, line.empty() ? Vec2{} : line.front());
  std::map<std::size_t, double> lengths;
  for (std::size_t i = 1; i < line.size(); ++i) {
    lengths[frame_at(sheet, mix(line[i - 1], line[i], 0.5))] += distance(line[i - 1], line[i]);
  }
  return std::max_element(lengths.begin(),
                          lengths.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

}  // namespace

FramedPage sketches_by_frame(TracedPage traced, const DrawingSheet& sheet) {
  std::vector<Linework> drawn(sheet.frames.size());
  std::vector<std::size_t> frame_of_sketch;
  for (TracedSketch& sketch : traced.sketches) {
    frame_of_sketch.push_back(frame_at(sheet, sketch.box.centre()));
    for (Stroke& stroke : sketch.lines.strokes) {
      drawn[frame_of(sheet, stroke.path)].strokes.push_back(std::move(stroke));
    }
    for (Area& area : sketch.lines.areas) {
      if (!area.rings.empty()) drawn[frame_of(sheet, area.rings.front())].areas.push_back(area);
    }
  }
  FramedPage out;
  std::vector<std::optional<std::size_t>> sketch_of_frame(drawn.size());
  std::vector<TracedSketch> sketches;
  for (std::size_t f = 0; f < drawn.size(); ++f) {
    if (drawn[f].empty()) continue;
    sketch_of_frame[f] = sketches.size();
    const Box box = drawn[f].ink_box();
    sketches.push_back({box, std::move(drawn[f])});
    out.frames.push_back(static_cast<int>(f) + 1);
  }
  for (PageCaption& caption : traced.captions) {
    if (caption.sketch) caption.sketch = sketch_of_frame[frame_of_sketch[*caption.sketch]];
  }
  out.traced = std::move(traced);
  out.traced.sketches = std::move(sketches);
  return out;
}

}  // namespace underdraw
