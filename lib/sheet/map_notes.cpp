#include "sheet/map_notes.h"

#include "sheet/clip_lines.h"
#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kNoteSize = 2.6;
constexpr double kNoteRow = 4.2;
constexpr double kSignRoom = 7.0;
constexpr Grey kQuiet{0.35};

std::vector<Mark> sign_marks(MapNote::Sign sign, Vec2 at) {
  const double h = kNoteSize * kCapHeight;
  const Box box{at - Vec2{0.0, h}, at + Vec2{4.5, 0.0}};
  switch (sign) {
    case MapNote::Sign::none:
      return {};
    case MapNote::Sign::too_fine:
      return {too_fine_sign(box.centre(), h)};
    case MapNote::Sign::dart: {
      const double y = box.centre().y;
      PathMark dart;
      dart.paths = {line_between({box.min.x, y}, {box.max.x, y})};
      dart.line_width_mm = kDartWidthMm;
      dart.dashes_mm = kDartDashes;
      return {dart};
    }
    case MapNote::Sign::zone: {
      PathMark frame;
      frame.line_width_mm = 0.25;
      frame.line = {0.3};
      frame.paths = {rectangle(box.grown(0.2))};
      PathMark hatch;
      hatch.line_width_mm = 0.12;
      hatch.line = kZoneGrey;
      for (double x = box.min.x - h; x < box.max.x; x += kZoneHatchMm) {
        const ClippedSpan span = clipped({x, box.min.y}, {x + h, box.max.y}, box);
        if (span.empty()) continue;
        hatch.paths.push_back(line_between(Vec2{x + h * span.from, box.min.y + h * span.from},
                                           Vec2{x + h * span.to, box.min.y + h * span.to}));
      }
      return {hatch, frame};
    }
  }
  return {};
}

}  // namespace

PathMark too_fine_sign(Vec2 centre, double size_mm) {
  PathMark mark;
  mark.line_width_mm = 0.0;
  mark.filled = true;
  const double half = size_mm / 2.0;
  mark.paths = {Path::polyline(
      {centre + Vec2{0, -half}, centre + Vec2{half, half}, centre + Vec2{-half, half}}, true)};
  return mark;
}

DrawnNotes draw_notes(const std::vector<MapNote>& notes, const Box& box) {
  DrawnNotes out;
  for (const MapNote& note : notes) {
    const double indent = note.sign == MapNote::Sign::none ? 0.0 : kSignRoom;
    const Vec2 sign_at = box.min + Vec2{0.4, out.height_mm + kNoteSize};
    for (Mark& mark : sign_marks(note.sign, sign_at)) out.marks.push_back(std::move(mark));
    for (const std::string& line : broken_text(note.text, box.width() - indent, kNoteSize)) {
      out.marks.emplace_back(TextMark{line,
                                      box.min + Vec2{indent, out.height_mm + kNoteSize},
                                      kNoteSize,
                                      Align::left,
                                      false,
                                      0.0,
                                      kQuiet});
      out.height_mm += kNoteRow;
    }
  }
  return out;
}

}  // namespace underdraw
