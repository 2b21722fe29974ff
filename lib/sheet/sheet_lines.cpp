#include "sheet/sheet_lines.h"

#include <algorithm>

#include "sheet/clip_lines.h"
#include "sheet/prick_dots.h"

namespace underdraw {
namespace {

constexpr double kHole = 0.6;         // mm, the printed dot: larger than the needle, easy to see
constexpr double kGuideWidth = 0.25;  // mm
constexpr double kTolerance = 0.005;  // of lines that a part's window cuts, mm

Linework outlines_of(const Linework& lines) {
  Linework out;
  for (const Stroke& stroke : lines.strokes) {
    if (stroke.path.is_dot()) continue;
    out.strokes.push_back({stroke.path, std::min(stroke.width_mm, kGuideWidth)});
  }
  for (const Area& area : lines.areas) {
    for (const Path& ring : area.rings) out.strokes.push_back({ring, kGuideWidth});
  }
  return out;
}

}  // namespace

SheetLines sheet_lines(const Motif& motif,
                       const Affine& sheet_from_motif,
                       const SheetOptions& options) {
  SheetLines out;
  if (options.method != TransferMethod::pricked) {
    out.ink = transformed(motif.lines, sheet_from_motif);
    return out;
  }
  // Where the holes lie does not depend on how the cut-out is turned or whether it is mirrored.
  const double scale = sheet_from_motif.length_factor();
  const Linework upright = transformed(motif.lines, Affine::scale(scale));
  const Affine sheet_from_upright = sheet_from_motif * Affine::scale(1.0 / scale);
  for (const Vec2 at : prick_dots(upright, options.pitch_mm)) {
    out.ink.strokes.push_back({Path{{sheet_from_upright * at}, false}, kHole});
  }
  out.guide = transformed(outlines_of(upright), sheet_from_upright);
  return out;
}

Linework shown_lines(const Linework& lines, const CutOut& cut_out) {
  if (!cut_out.part) return lines;
  const CutOutPart& part = *cut_out.part;
  const Linework print = transformed(lines, part.sheet_from_print.inverse());
  return transformed(inside_box(print, part.window, kTolerance), part.sheet_from_print);
}

SheetLines cut_out_lines(const Motif& motif, const CutOut& cut_out, const SheetOptions& options) {
  const SheetLines whole = sheet_lines(motif, cut_out.sheet_from_motif, options);
  return {shown_lines(whole.ink, cut_out), shown_lines(whole.guide, cut_out)};
}

}  // namespace underdraw
