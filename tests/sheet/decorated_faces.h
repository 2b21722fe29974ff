// One decorated face of each form, for tests of maps, views and templates.
//
// Stage: tests.
#pragma once

#include <string>
#include <vector>

#include "sheet/shapes.h"
#include "sheet/sheet_samples.h"
#include "sheet/text_width.h"

namespace underdraw {

inline Face face_of(FaceForm form, std::vector<KeepOut> zones = {}) {
  return {"wall", std::move(form), std::move(zones)};
}

// Copies in a grid over the face, `size_mm` tall, none over an edge.
inline PlacedFace decorated(const Face& face, int columns, int rows, double size_mm) {
  static const std::vector<Motif> kMotifs = sample_motifs();
  PlacedFace out;
  out.face = face;
  out.surface = surface_of(face);
  const double across = out.surface.round() ? 360.0 : out.surface.widest_mm();
  for (int row = 0; row < rows; ++row) {
    for (int column = 0; column < columns; ++column) {
      Placement p;
      p.id = static_cast<int>(out.placements.size()) + 1;
      const Motif& motif = kMotifs[out.placements.size() % kMotifs.size()];
      p.motif = p.variant = motif.name;
      p.change.scale = size_mm / motif.height_mm;
      p.change.mirrored = column % 2 == 1;
      p.at = {across * (column + 0.5) / columns, out.surface.along_mm() * (row + 0.5) / rows};
      out.placements.push_back(p);
    }
  }
  return out;
}

inline TurnedFace bellied_wall() {
  return {{{0, 350}, {45, 424}, {95, 456}, {140, 436}, {172, 384}}};
}

inline TurnedFace waisted_wall() {
  return {{{0, 330}, {40, 290}, {85, 200}, {130, 290}, {170, 340}}};
}

inline std::vector<PlacedFace> one_of_each_form() {
  std::vector<PlacedFace> out;
  out.push_back(decorated(face_of(FlatFace{148, 148}, {{60, 90, 0, 20, "hole"}}), 3, 2, 26));
  out.push_back(
      decorated(face_of(CylinderFace{372, 120}, {{350, 15, 60, 110, "handle"}}), 8, 2, 30));
  out.push_back(decorated(face_of(ConeFace{240, 372, 130}), 6, 2, 24));
  out.push_back(decorated(face_of(bellied_wall(), {{82, 98, 132, 168, "lug"}}), 8, 2, 34));
  out.push_back(decorated(face_of(RingFace{160, 270}), 9, 1, 26));
  out.push_back(decorated(face_of(BallFace{420}, {{0, 360, 0, 20, "stand"}}), 6, 3, 22));
  out.push_back(decorated(face_of(PatchFace{132, 118, 112, 109}), 3, 2, 24));
  out.push_back(decorated(face_of(PatchFace{150, 100, 128, 94, true}), 3, 2, 20));
  return out;
}

inline Box ink_box_of(const Mark& mark) {
  if (const auto* text = std::get_if<TextMark>(&mark)) return text_box(*text);
  Box box;
  if (const auto* shared = std::get_if<SharedMark>(&mark)) {
    for (const PathMark& each : marks_of(*shared)) box.add(ink_box_of(each));
    return box;
  }
  const auto& path = std::get<PathMark>(mark);
  for (const Path& p : path.paths) box.add(p.box().grown(path.line_width_mm / 2.0));
  return box;
}

// For failures.
inline std::string described(const Mark& mark) {
  const Box box = ink_box_of(mark);
  const auto* text = std::get_if<TextMark>(&mark);
  return " " + (text != nullptr ? text->text : std::string("lines")) + " " +
         std::to_string(box.min.x) + " " + std::to_string(box.min.y) + " to " +
         std::to_string(box.max.x) + " " + std::to_string(box.max.y);
}

inline std::vector<TextMark> texts_of(const std::vector<Mark>& marks) {
  std::vector<TextMark> out;
  for (const Mark& mark : marks) {
    if (const auto* text = std::get_if<TextMark>(&mark)) out.push_back(*text);
  }
  return out;
}

// How often each number stands on the drawing in bold.
inline int bold_count(const std::vector<Mark>& marks, const std::string& words) {
  int count = 0;
  for (const TextMark& text : texts_of(marks)) count += text.bold && text.text == words ? 1 : 0;
  return count;
}

// Whether a drawn line (not a filled shape) runs through the box.
inline bool line_through(const std::vector<Mark>& marks, const Box& box) {
  for (const Mark& mark : marks) {
    const auto* path = std::get_if<PathMark>(&mark);
    if (path == nullptr || path->filled || path->line_width_mm <= 0.0) continue;
    if (path->line.lightness > 0.8) continue;  // the faint net
    for (const Path& p : path->paths) {
      if (!p.box().grown(0.1).overlaps(box)) continue;
      for (const Vec2 at : sample(p, 0.1)) {
        if (box.contains(at)) return true;
      }
    }
  }
  return false;
}

}  // namespace underdraw
