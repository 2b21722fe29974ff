#include "sheet/cut_out.h"

#include <fmt/format.h>

#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kNumberSize = 7.2;  // digits 5.1 mm high: read at arm's length
constexpr double kNameSize = 2.8;
constexpr double kSmallSize = 2.4;
constexpr double kLeastBand = 3.0;  // room for a datum label along the cut line
constexpr double kTick = 2.0;
constexpr double kTickGap = 1.1;    // from a tick to its label
constexpr double kStripGap = 1.8;   // from the drawing to the words under it
constexpr double kStripFoot = 0.8;  // from those to the band with the lower datum label
constexpr double kColumnGap = 1.8;
constexpr double kArrowWidth = 2.3;
constexpr double kCorner = 3.0;
constexpr double kCornerRoom = 1.6;  // from a label to the round corner's edge
constexpr double kLongestName = 34.0;
constexpr double kNumberHeight = kNumberSize * kCapHeight;
constexpr Grey kQuiet{0.25};

// The words under the drawing, in their own frame: origin at the strip's top left.
struct Strip {
  double width_mm = 0.0;
  double usual_mm = 0.0;  // width with two digits and the longer wording
  double height_mm = 0.0;
  TextMark number, name, size;
};

Strip make_strip(const Placement& placement, const Motif& motif, double height_mm, bool stacked) {
  Strip strip;
  const double longest = stacked ? 0.75 * kLongestName : kLongestName;
  strip.number = {std::to_string(placement.id), {}, kNumberSize, Align::left, true, 0.0, {}};
  strip.name = {
      fitted_text(motif.name, longest, kNameSize, true), {}, kNameSize, Align::left, true, 0.0, {}};
  strip.size = {
      fmt::format("{:.1f} mm{}", height_mm, placement.change.mirrored ? ", mirrored" : ""),
      {},
      kSmallSize,
      Align::left,
      false,
      0.0,
      {}};
  const double usual_number = text_width_mm("00", kNumberSize, true);
  const std::string usual_size = fmt::format("{:.1f} mm, mirrored", height_mm);
  const double usual_words =
      std::max(text_width_mm(strip.name), text_width_mm(usual_size, kSmallSize));
  const double number = text_width_mm(strip.number);
  const double words = std::max(text_width_mm(strip.name), text_width_mm(strip.size));
  strip.number.at = {0.0, kNumberHeight};
  if (stacked) {
    strip.width_mm = std::max(number + kColumnGap + kArrowWidth, words);
    strip.usual_mm = std::max(usual_number + kColumnGap + kArrowWidth, usual_words);
    strip.name.at = {0.0, kNumberHeight + 3.5};
    strip.size.at = {0.0, kNumberHeight + 6.8};
    strip.height_mm = kNumberHeight + 6.8;
  } else {
    strip.width_mm = number + kColumnGap + words + kColumnGap + kArrowWidth;
    strip.usual_mm = usual_number + kColumnGap + usual_words + kColumnGap + kArrowWidth;
    strip.name.at = {number + kColumnGap, kNameSize * kCapHeight};
    strip.size.at = {number + kColumnGap, kNumberHeight};
    strip.height_mm = kNumberHeight;
  }
  return strip;
}

// A datum label beside its tick, in whichever direction has more room, and the room that it needs
// there: end_mm more than its text.
struct Beside {
  bool forwards = true;
  double needs = 0.0;
};

Beside beside(double text_mm, double end_mm, double room_back, double room_forward) {
  return {room_forward >= room_back - 0.5, kTickGap + text_mm + end_mm};
}

// Everything about the print's datum point (0, 0): the placement's centre.
struct Shape {
  Box area;
  Vec2 strip_at;
};

}  // namespace

CutOut make_cut_out(const PlacedFace& face,
                    const Placement& placement,
                    const Motif& motif,
                    const SheetOptions& options) {
  const Affine print = print_from_motif(placement, motif, options.method);
  const Box ink = transformed(motif.lines, print).ink_box();
  const double band = std::max(options.clearance_mm, kLeastBand);
  const double height = motif.height_mm * placement.change.scale;
  const DatumLabels labels = datum_labels(face.surface, placement);
  const double across_text = text_width_mm(labels.across, kSmallSize);
  const double along_text = text_width_mm(labels.along, kSmallSize);
  // Turned motifs may have their datum point beside their ink; it stays on the cut-out.
  Box core = ink;
  core.add(Vec2{0.0, 0.0});

  Strip strip;
  Shape shape;
  Beside across, along;
  double least_area = std::numeric_limits<double>::infinity();
  for (const bool stacked : {false, true}) {
    const Strip words = make_strip(placement, motif, height, stacked);
    Box area{core.min - Vec2{band, band},
             core.max + Vec2{band, kStripGap + words.height_mm + kStripFoot + kLeastBand}};
    const double lacks = words.width_mm + 2.0 * band - area.width();
    if (lacks > 0.0) {
      area.min.x -= lacks / 2.0;
      area.max.x += lacks / 2.0;
    }
    const Beside a = beside(across_text, kCornerRoom, -area.min.x, area.max.x);
    if (a.forwards) {
      area.max.x = std::max(area.max.x, a.needs);
    } else {
      area.min.x = std::min(area.min.x, -a.needs);
    }
    const Beside s = beside(along_text, kLeastBand, -area.min.y, area.max.y);
    if (s.forwards) {
      area.max.y = std::max(area.max.y, s.needs);
    } else {
      area.min.y = std::min(area.min.y, -s.needs);
    }
    // Decided as for the usual words, so that all copies of a motif look alike.
    const double usual = std::max(area.width(), words.usual_mm + 2.0 * band) * area.height();
    if (usual < least_area) {
      least_area = usual;
      strip = words;
      across = a;
      along = s;
      // At the foot of the cut-out, words start where the drawing's band starts.
      shape = {area, {area.min.x + band, area.max.y - kLeastBand - kStripFoot - words.height_mm}};
    }
  }

  const Box area = shape.area;
  CutOut out;
  out.placement = placement.id;
  out.motif = motif.name;
  out.mirrored = print.determinant() < 0.0;
  out.height_mm = height;
  out.sheet_from_motif = print;
  out.area = area;
  out.cut_line = rounded_rectangle(area, kCorner);
  const Affine print_from_copy = print * placement.copy_from_motif(motif).inverse();
  for (const Path& dart : placement.darts) out.darts.push_back(transformed(dart, print_from_copy));

  const auto write = [&](TextMark text, Vec2 offset) {
    text.at += offset;
    out.label_boxes.push_back(text_box(text));
    out.labels.emplace_back(text);
  };
  write(strip.number, shape.strip_at);
  out.label_boxes.front().max.y -= (kDescent - 0.02) * kNumberSize;  // digits stand on their line
  out.number_box = out.label_boxes.front();
  write(strip.name, shape.strip_at);
  write(strip.size, shape.strip_at);
  const Vec2 arrow_at{area.max.x - band - kArrowWidth, shape.strip_at.y};
  const Box arrow{arrow_at, arrow_at + Vec2{kArrowWidth, kNumberHeight}};
  for (Mark& mark : up_arrow(arrow)) out.labels.push_back(std::move(mark));
  out.label_boxes.push_back(arrow);

  PathMark ticks;
  ticks.line_width_mm = 0.3;
  const auto tick = [&](Vec2 from, Vec2 inwards) {
    ticks.paths.push_back(line_between(from, from + inwards * kTick));
    Box box;
    box.add(from);
    box.add(from + inwards * kTick);
    out.label_boxes.push_back(box.grown(ticks.line_width_mm));
  };
  tick({0.0, area.min.y}, {0, 1});
  tick({0.0, area.max.y}, {0, -1});
  tick({area.min.x, 0.0}, {1, 0});
  tick({area.max.x, 0.0}, {-1, 0});
  out.labels.emplace_back(ticks);

  TextMark datum;
  datum.height_mm = kSmallSize;
  datum.colour = kQuiet;
  datum.text = labels.across;
  datum.align = across.forwards ? Align::left : Align::right;
  const double dx = across.forwards ? kTickGap : -kTickGap;
  const double cap = kSmallSize * kCapHeight;
  const double inset = (kLeastBand - cap) / 2.0;  // letters in the middle of the band
  write(datum, {dx, area.min.y + inset + cap});
  write(datum, {dx, area.max.y - inset});
  datum.text = labels.along;
  datum.turn_deg = -90.0;  // reads upwards
  datum.align = along.forwards ? Align::right : Align::left;
  const double dy = along.forwards ? kTickGap : -kTickGap;
  write(datum, {area.min.x + inset + cap, dy});
  write(datum, {area.max.x - inset, dy});

  return moved(out, Affine::translate(-area.min));
}

CutOut moved(const CutOut& cut_out, const Affine& to_from_cut_out) {
  CutOut out = cut_out;
  out.sheet_from_motif = to_from_cut_out * cut_out.sheet_from_motif;
  out.cut_line = transformed(cut_out.cut_line, to_from_cut_out);
  out.area = out.cut_line.box();
  for (Path& dart : out.darts) dart = transformed(dart, to_from_cut_out);
  out.turn_deg += degrees(std::atan2(to_from_cut_out.yx, to_from_cut_out.xx));
  const auto middle_moved = [&](const Box& box) {
    const Vec2 by = to_from_cut_out * box.centre() - box.centre();
    return Box{box.min + by, box.max + by};
  };
  out.number_box = middle_moved(cut_out.number_box);
  for (Box& box : out.label_boxes) box = middle_moved(box);
  for (Mark& mark : out.labels) mark = moved(mark, to_from_cut_out);
  return out;
}

}  // namespace underdraw
