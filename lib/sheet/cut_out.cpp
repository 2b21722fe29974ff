#include "sheet/cut_out.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>

#include "sheet/clip_lines.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kNumberSize = 7.2;  // digits 5.1 mm high: read at arm's length
constexpr double kNameSize = 2.8;
constexpr double kSmallSize = 2.4;
constexpr double kLine = 3.2;  // from one line of words to the next
constexpr double kTick = 1.6;
constexpr double kTickShare = 0.6;  // of the clearance that a tick takes at most
constexpr double kWordsGap = 1.8;   // from the drawing to the words beside it
constexpr double kWordsPad = 2.2;   // from the words to the cut line
constexpr double kColumnGap = 1.8;
constexpr double kArrowWidth = 2.3;
constexpr double kLongestName = 34.0;
constexpr double kNumberHeight = kNumberSize * kCapHeight;
constexpr double kBay = 6.0;         // mm; scissors go round bays wider than twice this only
constexpr double kTolerance = 0.02;  // of the cut line's arcs
constexpr double kArcs = 0.15;       // by which arcs as polygons may come nearer, all in all
constexpr Grey kQuiet{0.25};

// Number, name, size and place in their own frame: origin at their top left. They have the room
// that they need on other copies, so that all copies of a motif are cut alike: to the eye, and to
// the packing, which then knows them as one shape.
struct Words {
  double width_mm = 0.0;
  double height_mm = 0.0;
  std::vector<TextMark> texts;  // the number first
  Box arrow;
};

TextMark text_of(std::string text, double size, bool bold) {
  TextMark mark;
  mark.text = std::move(text);
  mark.height_mm = size;
  mark.bold = bold;
  return mark;
}

// In a row beside each other, or the number above the rest.
Words make_words(const Placement& placement,
                 const Motif& motif,
                 const DatumLabels& datum,
                 double height_mm,
                 bool stacked) {
  Words words;
  const double longest = stacked ? 0.75 * kLongestName : kLongestName;
  const std::string size = fmt::format("{:.1f} mm", height_mm);
  TextMark number = text_of(std::to_string(placement.id), kNumberSize, true);
  std::vector<TextMark> lines = {
      text_of(fitted_text(motif.name, longest, kNameSize, true), kNameSize, true),
      text_of(size + (placement.change.mirrored ? ", mirrored" : ""), kSmallSize, false),
      text_of(datum.across + " · " + datum.along, kSmallSize, false)};
  lines.back().colour = kQuiet;
  double wide = 0.0;
  for (const TextMark& line : lines) wide = std::max(wide, text_width_mm(line));
  const double usual_wide = std::max({text_width_mm(lines[0]),
                                      text_width_mm(size + ", mirrored", kSmallSize),
                                      text_width_mm("a 000.0° · s 000.0", kSmallSize)});
  const double number_wide = text_width_mm(number);
  const double usual_number = text_width_mm("00", kNumberSize, true);
  number.at = {0.0, kNumberHeight};
  const double left = stacked ? 0.0 : number_wide + kColumnGap;
  double baseline = stacked ? kNumberHeight + 3.6 : kNameSize * kCapHeight;
  for (TextMark& line : lines) {
    line.at = {left, baseline};
    baseline += kLine;
  }
  words.height_mm = std::max(kNumberHeight, baseline - kLine + kDescent * kSmallSize);
  const double arrow = kColumnGap + kArrowWidth;
  const double usual = stacked ? std::max(usual_number + arrow, usual_wide)
                               : usual_number + kColumnGap + usual_wide + arrow;
  const double own = stacked ? std::max(number_wide + arrow, wide) : left + wide + arrow;
  words.width_mm = std::max(usual, own);
  words.arrow = {{words.width_mm - kArrowWidth, 0.0}, {words.width_mm, kNumberHeight}};
  words.texts.push_back(std::move(number));
  for (TextMark& line : lines) words.texts.push_back(std::move(line));
  return words;
}

Box box_about(Vec2 centre, Vec2 size) { return {centre - size / 2.0, centre + size / 2.0}; }

// Where words of that size lie closest to the drawing, coming from one side.
Vec2 beside(const Rings& ink, const Box& ink_box, Vec2 size, double from_deg) {
  constexpr double kStep = 0.5;
  const Vec2 out = Affine::turn_deg(from_deg) * Vec2{0.0, 1.0};  // 0: from below
  const double far = length(ink_box.max - ink_box.min) / 2.0 + length(size) / 2.0 + kWordsGap;
  const auto centre = [&](double at) { return ink_box.centre() + out * at; };
  const auto free = [&](double at) {
    return !touches(ink, box_about(centre(at), size).grown(kWordsGap));
  };
  double at = far;
  while (at > kStep && free(at - kStep)) at -= kStep;
  return centre(at);
}

struct WordsPlace {
  Vec2 centre;
  bool stacked = false;
};

// Below the drawing, unless the cut-out becomes clearly smaller elsewhere.
WordsPlace place_words(const Rings& ink, const Box& ink_box, Vec2 row, Vec2 stack) {
  constexpr double kElsewhere = 1.1;
  WordsPlace best;
  double least = std::numeric_limits<double>::infinity();
  Ring around;
  for (const Ring& ring : ink) around.insert(around.end(), ring.begin(), ring.end());
  around = convex_hull(std::move(around));
  for (const bool stacked : {false, true}) {
    const Vec2 size = stacked ? stack : row;
    for (int k = 0; k < 16; ++k) {
      const Vec2 centre = beside(ink, ink_box, size, k * 22.5);
      Ring all = around;
      const Ring box = ring_of(box_about(centre, size)).front();
      all.insert(all.end(), box.begin(), box.end());
      const double area = signed_area(convex_hull(std::move(all))) * (k == 0 ? 1.0 : kElsewhere);
      if (area >= least) continue;
      least = area;
      best = {centre, stacked};
    }
  }
  return best;
}

// Where a ray from the datum point leaves the ring for good.
Vec2 leaves(const Ring& ring, Vec2 along) {
  double farthest = 0.0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Vec2 a = ring[i];
    const Vec2 b = ring[(i + 1) % ring.size()];
    const double side_a = cross(along, a);
    const double side_b = cross(along, b);
    if ((side_a > 0.0) == (side_b > 0.0)) continue;
    farthest = std::max(farthest, dot(along, mix(a, b, side_a / (side_a - side_b))));
  }
  return along * farthest;
}

std::vector<Path> inside_ring(const std::vector<Path>& lines, const Ring& ring) {
  std::vector<Path> out;
  for (const Path& line : lines) {
    const std::vector<Vec2> points = sample(line, 0.2);
    std::vector<double> within;
    for (const Vec2 p : points) within.push_back(inside(ring, p) ? 1.0 : -1.0);
    for (const auto& piece : pieces_inside(points, within)) out.push_back(Path::polyline(piece));
  }
  return out;
}

}  // namespace

Rings cut_out_ink(const Motif& motif) {
  return silhouette(motif.lines, {.close_mm = 0.5, .tolerance_mm = kTolerance});
}

Ring cut_ring(const Rings& ink, const std::optional<Box>& words, double clearance) {
  Rings covered = ink;
  // The datum point lies on the cut-out, also where a turned motif has no ink.
  covered.push_back(ring_of(Box{{-0.1, -0.1}, {0.1, 0.1}}).front());
  if (words) {
    const double pad = std::max(kWordsPad - clearance, -0.3 * words->height());
    covered.push_back(ring_of(words->grown(pad)).front());
  }
  const Rings closed = outlines_grown(
      outlines_grown(covered, clearance + kArcs + kBay, kTolerance), -kBay, kTolerance);
  if (closed.size() == 1) return simpler_ring(closed.front(), kTolerance);
  Ring all;  // parts far apart: straight round all of them
  for (const Ring& ring : outlines_grown(covered, clearance + kArcs, kTolerance)) {
    all.insert(all.end(), ring.begin(), ring.end());
  }
  return convex_hull(std::move(all));
}

std::vector<Path> datum_ticks(const Ring& ring, double clearance_mm) {
  const double tick = std::min(kTick, kTickShare * clearance_mm);
  std::vector<Path> ticks;
  for (const Vec2 along : {Vec2{0, -1}, Vec2{0, 1}, Vec2{-1, 0}, Vec2{1, 0}}) {
    const Vec2 edge = leaves(ring, along);
    ticks.push_back(line_between(edge, edge - along * tick));
  }
  return ticks;
}

std::vector<Path> darts_inside(const Placement& placement,
                               const Motif& motif,
                               const Affine& print_from_motif,
                               const Ring& ring) {
  const Affine print_from_copy = print_from_motif * placement.copy_from_motif(motif).inverse();
  std::vector<Path> darts;
  for (const Path& dart : placement.darts) darts.push_back(transformed(dart, print_from_copy));
  return inside_ring(darts, ring);
}

CutOut make_cut_out(const PlacedFace& face,
                    const Placement& placement,
                    const Motif& motif,
                    const Rings& motif_ink,
                    const SheetOptions& options) {
  // Everything about the print's datum point (0, 0): the placement's centre.
  const Affine print = print_from_motif(placement, motif, options.method);
  const Rings ink = transformed(motif_ink, print);
  const Box ink_box = box_of(ink);
  const double height = motif.height_mm * placement.change.scale;
  const DatumLabels datum = datum_labels(face.surface, placement);
  const Words row = make_words(placement, motif, datum, height, false);
  const Words stack = make_words(placement, motif, datum, height, true);
  const WordsPlace place =
      place_words(ink, ink_box, {row.width_mm, row.height_mm}, {stack.width_mm, stack.height_mm});
  const Words& words = place.stacked ? stack : row;
  const Box words_box = box_about(place.centre, {words.width_mm, words.height_mm});
  const Ring ring = cut_ring(ink, words_box, options.clearance_mm);

  CutOut out;
  out.placement = placement.id;
  out.motif = motif.name;
  out.mirrored = print.determinant() < 0.0;
  out.height_mm = height;
  out.sheet_from_motif = print;
  out.area = box_of(ring);
  out.cut_line = Path::polyline(ring, true);
  out.darts = darts_inside(placement, motif, print, ring);

  for (TextMark text : words.texts) {
    text.at += words_box.min;
    out.label_boxes.push_back(text_box(text));
    out.labels.emplace_back(text);
  }
  out.label_boxes.front().max.y -= (kDescent - 0.02) * kNumberSize;  // digits stand on their line
  out.number_box = out.label_boxes.front();
  const Box arrow{words.arrow.min + words_box.min, words.arrow.max + words_box.min};
  for (Mark& mark : up_arrow(arrow)) out.labels.push_back(std::move(mark));
  out.label_boxes.push_back(arrow);

  PathMark ticks;
  ticks.line_width_mm = kDatumTickWidth;
  ticks.paths = datum_ticks(ring, options.clearance_mm);
  for (const Path& tick : ticks.paths) {
    out.label_boxes.push_back(tick.box().grown(ticks.line_width_mm));
  }
  out.labels.emplace_back(ticks);
  return moved(out, Affine::translate(-out.area.min));
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
  if (out.part) {
    out.part->sheet_from_print = to_from_cut_out * cut_out.part->sheet_from_print;
    out.part->words_box = middle_moved(cut_out.part->words_box);
  }
  for (Mark& mark : out.labels) mark = moved(mark, to_from_cut_out);
  return out;
}

}  // namespace underdraw
