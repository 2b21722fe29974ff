#include "sheet/split_cut_out.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include <fmt/format.h>

#include "sheet/clip_lines.h"
#include "sheet/cut_out.h"
#include "sheet/shapes.h"
#include "sheet/template_tiles.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kLeastEdge = 2.0;    // of paper beyond a window
constexpr double kBesideLine = 0.8;   // of paper beside the widest line
constexpr double kCrossAlong = 3.0;   // arms along the joint
constexpr double kCrossBeyond = 2.0;  // arms across it are seen beyond the paper that lies above
constexpr double kCrossClear = 0.8;   // from a cross to the drawing
constexpr double kFromCorner = 6.0;   // so that the nearest side of a window is the joint's
constexpr double kCrossesApart = 12.0;
constexpr double kNumberSize = 7.2;
constexpr double kWordsSize = 2.8;
constexpr double kSmallSize = 2.4;
constexpr double kLine = 3.2;
constexpr double kGap = 1.8;
constexpr double kArrowWidth = 2.3;
constexpr double kPictureWidth = 14.0;
constexpr double kPictureHeight = 9.0;
constexpr double kPad = 2.0;         // from the label's words to its edge
constexpr double kLongest = 42.0;    // of a line of words
constexpr double kLeastPart = 25.0;  // mm; windows below this are all overlap
constexpr double kClose = 0.3;
constexpr double kTolerance = 0.02;
constexpr Grey kQuiet{0.25};

Box common(const Box& a, const Box& b) {
  return {{std::max(a.min.x, b.min.x), std::max(a.min.y, b.min.y)},
          {std::min(a.max.x, b.max.x), std::min(a.max.y, b.max.y)}};
}

// What is printed on the label below a part: its own frame, origin at the words' top left.
struct Label {
  Vec2 size;
  TextMark number;
  std::vector<TextMark> lines;  // "part 2 of 4" first
  Box picture;
  Box arrow;
};

Label make_label(const Placement& placement,
                 const Motif& motif,
                 const DatumLabels& datum,
                 double height_mm,
                 const CutOutPart& part) {
  const auto text = [](std::string words, double size, bool bold) {
    TextMark mark;
    mark.text = fitted_text(words, kLongest, size, bold);
    mark.height_mm = size;
    mark.bold = bold;
    return mark;
  };
  Label label;
  label.number = text(std::to_string(placement.id), kNumberSize, true);
  label.number.at = {0.0, kNumberSize * kCapHeight};
  label.lines = {text(part_words(part), kWordsSize, true),
                 text(fmt::format("{}, {:.1f} mm{}",
                                  motif.name,
                                  height_mm,
                                  placement.change.mirrored ? ", mirrored" : ""),
                      kSmallSize,
                      false),
                 text(datum.across + " · " + datum.along, kSmallSize, false)};
  label.lines.back().colour = kQuiet;
  double x = text_width_mm(label.number) + kGap;
  double wide = 0.0;
  double baseline = kWordsSize * kCapHeight;
  for (TextMark& line : label.lines) {
    line.at = {x, baseline};
    baseline += kLine;
    wide = std::max(wide, text_width_mm(line));
  }
  x += wide + 1.5 * kGap;
  label.picture = {{x, 0.0}, {x + kPictureWidth, kPictureHeight}};
  x += kPictureWidth + kGap;
  label.arrow = {{x, 0.0}, {x + kArrowWidth, kNumberSize * kCapHeight}};
  label.size = {x + kArrowWidth, kPictureHeight};
  return label;
}

// Which of the parts this is, as a little picture of them all.
std::vector<Mark> order_picture(const Tiling& tiling, const Tile& here, const Box& box) {
  Box all;
  for (const Tile& tile : tiling.tiles) all.add(tile.window);
  const double scale = std::min(box.width() / all.width(), box.height() / all.height());
  const Affine box_from_print =
      Affine::translate(box.centre() - all.centre() * scale) * Affine::scale(scale);
  PathMark cell;
  cell.line_width_mm = 0.0;
  cell.filled = true;
  cell.fill = {0.7};
  cell.paths = {rectangle(moved(here.window, box_from_print))};
  PathMark grid;
  grid.line_width_mm = 0.12;
  grid.line = {0.4};
  for (const Tile& tile : tiling.tiles) {
    grid.paths.push_back(rectangle(moved(tile.window, box_from_print)));
  }
  return {cell, grid};
}

// Side by side or one above the other.
bool neighbours(const Tile& a, const Tile& b) {
  const auto apart = [](std::size_t i, std::size_t k) { return i > k ? i - k : k - i; };
  return apart(a.row, b.row) + apart(a.column, b.column) == 1;
}

Box cross_box(Vec2 at, bool joint_stands, double edge_mm) {
  const double across = kTileOverlapMm / 2.0 + edge_mm + kCrossBeyond;
  const Vec2 half = joint_stands ? Vec2{across, kCrossAlong} : Vec2{kCrossAlong, across};
  return {at - half, at + half};
}

bool holds(const Ring& ring, const Box& box) {
  for (std::size_t i = 0; i < ring.size(); ++i) {
    if (!clipped(ring[i], ring[(i + 1) % ring.size()], box).empty()) return false;
  }
  return inside(ring, box.centre());
}

// Where two neighbours carry the same crosses; empty where they have no paper in common.
std::vector<Vec2> crosses_between(const Tile& a,
                                  const Tile& b,
                                  const Tiling& tiling,
                                  const Ring& ring,
                                  const Rings& ink,
                                  double edge_mm) {
  const bool joint_stands = a.row == b.row;  // it runs from top to bottom
  const Box both = common(a.window, b.window);
  const double from = joint_stands ? both.min.y : both.min.x;
  const double to = joint_stands ? both.max.y : both.max.x;
  const auto at = [&](double t) {
    return joint_stands ? Vec2{both.centre().x, t} : Vec2{t, both.centre().y};
  };
  const auto others_see = [&](const Box& box) {
    return std::any_of(tiling.tiles.begin(), tiling.tiles.end(), [&](const Tile& tile) {
      return &tile != &a && &tile != &b && tile.window.grown(edge_mm).overlaps(box);
    });
  };
  std::vector<Vec2> clear, any, tight;
  for (double t = from + kFromCorner; t <= to - kFromCorner; t += 0.5) {
    if (!inside(ring, at(t))) continue;
    tight.push_back(at(t));
    const Box box = cross_box(at(t), joint_stands, edge_mm);
    if (!holds(ring, box) || others_see(box)) continue;
    any.push_back(at(t));
    if (!touches(ink, box.grown(kCrossClear))) clear.push_back(at(t));
  }
  const auto apart = [](const std::vector<Vec2>& spots) {
    return !spots.empty() && distance(spots.front(), spots.back()) >= kCrossesApart;
  };
  for (const std::vector<Vec2>* spots : {&clear, &any}) {
    if (apart(*spots)) return {spots->front(), spots->back()};
  }
  for (const std::vector<Vec2>* spots : {&clear, &any, &tight}) {
    if (!spots->empty()) return {(*spots)[spots->size() / 2]};
  }
  return {};
}

// The paper of a part: what the ring leaves of its window, with a label below.
Ring paper_of(const Ring& ring, const Box& paper, const Box& label, const Rings& crosses) {
  Rings pieces = {ring_inside(ring, paper), ring_of(label).front()};
  pieces.insert(pieces.end(), crosses.begin(), crosses.end());
  const Rings whole =
      outlines_grown(outlines_grown(pieces, kClose, kTolerance), -kClose, kTolerance);
  return simpler_ring(whole.front(), kTolerance / 2.0);
}

// Without the windows that show none of the drawing and no tick, as long as the others still hang
// together.
void leave_out_blanks(Tiling& tiling, const Rings& ink, const std::vector<Path>& ticks) {
  std::vector<Tile> shown;
  for (const Tile& tile : tiling.tiles) {
    const auto sees = [&](const Path& tick) { return tile.window.overlaps(tick.box().grown(0.1)); };
    if (touches(ink, tile.window) || std::any_of(ticks.begin(), ticks.end(), sees)) {
      shown.push_back(tile);
    }
  }
  std::vector<const Tile*> open = {&shown.front()};
  std::set<const Tile*> reached = {open.front()};
  while (!open.empty()) {
    const Tile* from = open.back();
    open.pop_back();
    for (const Tile& to : shown) {
      if (neighbours(*from, to) && reached.insert(&to).second) open.push_back(&to);
    }
  }
  if (reached.size() == shown.size()) tiling.tiles = std::move(shown);
}

Vec2 lowest(const Ring& ring) {
  const double bottom = box_of(ring).max.y;
  double left = std::numeric_limits<double>::infinity();
  double right = -left;
  for (const Vec2 p : ring) {
    if (p.y < bottom - 0.1) continue;
    left = std::min(left, p.x);
    right = std::max(right, p.x);
  }
  return {(left + right) / 2.0, bottom};
}

double widest_line(const Motif& motif, double scale) {
  double widest = 0.0;
  for (const Stroke& stroke : motif.lines.strokes) widest = std::max(widest, stroke.width_mm);
  return widest * scale;
}

std::size_t pieces_for(double length_mm, double most_mm) {
  if (length_mm <= most_mm) return 1;
  return static_cast<std::size_t>(
      std::ceil((length_mm - kTileOverlapMm) / (most_mm - kTileOverlapMm) - 1e-9));
}

double equal_piece(double length_mm, std::size_t count) {
  const auto n = static_cast<double>(count);
  return (length_mm + (n - 1.0) * kTileOverlapMm) / n;
}

}  // namespace

std::vector<Path> cross_lines(const CutOutPart& part, Vec2 cross) {
  const Box paper = part.window.grown(part.edge_mm - kCrossWidth);
  // Whether the joint stands or lies: arms across it are the longer ones.
  const double from_side = std::min(cross.x - part.window.min.x, part.window.max.x - cross.x);
  const double from_top = std::min(cross.y - part.window.min.y, part.window.max.y - cross.y);
  const Box box = common(cross_box(cross, from_side < from_top, part.edge_mm), paper);
  return {line_between({box.min.x, cross.y}, {box.max.x, cross.y}),
          line_between({cross.x, box.min.y}, {cross.x, box.max.y})};
}

std::optional<std::vector<CutOut>> split_cut_out(const PlacedFace& face,
                                                 const Placement& placement,
                                                 const Motif& motif,
                                                 const Rings& motif_ink,
                                                 const SheetOptions& options,
                                                 Vec2 room) {
  const Affine print = print_from_motif(placement, motif, options.method);
  const Rings ink = transformed(motif_ink, print);
  // Straight round all of it, so that each window holds one piece.
  const Ring ring = convex_hull(cut_ring(ink, std::nullopt, options.clearance_mm));
  const Box box = box_of(ring);
  const double height = motif.height_mm * placement.change.scale;
  const DatumLabels datum = datum_labels(face.surface, placement);
  CutOutPart any_part;
  any_part.number = any_part.count = kMostParts;  // as wide as such words become
  const Vec2 label_size = make_label(placement, motif, datum, height, any_part).size;

  const double label_height = label_size.y + 2.0 * kPad;
  const double edge =
      std::max(kLeastEdge, widest_line(motif, placement.change.scale) / 2.0 + kBesideLine);
  const Vec2 most = room - Vec2{2.0 * edge, 2.0 * edge + label_height} - Vec2{0.1, 0.1};
  const bool label_fits = label_size.x + 2.0 * kPad <= most.x;
  if (!label_fits || std::min(most.x, most.y) < kLeastPart) return std::nullopt;
  const std::size_t columns = pieces_for(box.width(), most.x);
  const std::size_t rows = pieces_for(box.height(), most.y);
  if (columns * rows > 4 * static_cast<std::size_t>(kMostParts)) return std::nullopt;
  Tiling tiling =
      tiled(box, {ring}, {equal_piece(box.width(), columns), equal_piece(box.height(), rows)});
  const std::vector<Path> all_ticks = datum_ticks(ring, options.clearance_mm);
  leave_out_blanks(tiling, ink, all_ticks);
  if (tiling.tiles.size() > static_cast<std::size_t>(kMostParts)) return std::nullopt;

  std::vector<std::vector<Vec2>> crosses(tiling.tiles.size());
  for (std::size_t i = 0; i < tiling.tiles.size(); ++i) {
    const Tile& a = tiling.tiles[i];
    for (std::size_t k = i + 1; k < tiling.tiles.size(); ++k) {
      const Tile& b = tiling.tiles[k];
      if (!neighbours(a, b)) continue;
      for (const Vec2 cross : crosses_between(a, b, tiling, ring, ink, edge)) {
        crosses[i].push_back(cross);
        crosses[k].push_back(cross);
      }
    }
  }

  PathMark ticks;
  ticks.line_width_mm = kDatumTickWidth;
  std::vector<CutOut> parts;
  for (std::size_t i = 0; i < tiling.tiles.size(); ++i) {
    const Tile& tile = tiling.tiles[i];
    CutOut out;
    out.placement = placement.id;
    out.motif = motif.name;
    out.mirrored = print.determinant() < 0.0;
    out.height_mm = height;
    out.sheet_from_motif = print;
    CutOutPart part;
    part.number = static_cast<int>(i) + 1;
    part.count = static_cast<int>(tiling.tiles.size());
    part.row = static_cast<int>(tile.row);
    part.column = static_cast<int>(tile.column);
    part.window = tile.window;
    part.edge_mm = edge;
    part.crosses = crosses[i];

    const Box paper = tile.window.grown(edge);
    PathMark cross_mark;
    cross_mark.line_width_mm = kCrossWidth;
    Rings cross_paper;
    for (const Vec2 cross : part.crosses) {
      for (const Path& arm : cross_lines(part, cross)) {
        cross_mark.paths.push_back(arm);
        cross_paper.push_back(ring_of(arm.box().grown(kCrossWidth)).front());
      }
    }

    const Ring piece = ring_inside(ring, paper);
    const Label label = make_label(placement, motif, datum, height, part);
    const Vec2 foot = lowest(piece);
    const double half = label.size.x / 2.0 + kPad;
    const double middle = 2.0 * half < paper.width()
                              ? std::clamp(foot.x, paper.min.x + half, paper.max.x - half)
                              : paper.centre().x;
    const Vec2 corner{middle - label.size.x / 2.0, foot.y + kPad};
    // It reaches far enough up to hang together with the rest.
    const Box label_box = Box{corner, corner + label.size}.grown(kPad);
    const Box tab{{label_box.min.x, foot.y - 1.0}, label_box.max};
    const Ring cut = paper_of(ring, paper, tab, cross_paper);
    out.cut_line = Path::polyline(cut, true);
    out.area = box_of(cut);
    for (const Path& dart : darts_inside(placement, motif, print, ring)) {
      for (const auto& points : pieces_inside(sample(dart, 0.2), tile.window)) {
        if (points.size() > 1) out.darts.push_back(Path::polyline(points));
      }
    }

    const auto put = [&](TextMark text) {
      text.at += corner;
      out.label_boxes.push_back(text_box(text));
      out.labels.emplace_back(std::move(text));
    };
    put(label.number);
    out.label_boxes.front().max.y -= (kDescent - 0.02) * kNumberSize;  // digits stand on their line
    out.number_box = out.label_boxes.front();
    for (const TextMark& line : label.lines) put(line);
    part.words_box = out.label_boxes[1];
    const auto beside = [&](const Box& b) { return Box{b.min + corner, b.max + corner}; };
    for (Mark& mark : order_picture(tiling, tile, beside(label.picture))) {
      out.labels.push_back(std::move(mark));
    }
    out.label_boxes.push_back(beside(label.picture));
    for (Mark& mark : up_arrow(beside(label.arrow))) out.labels.push_back(std::move(mark));
    out.label_boxes.push_back(beside(label.arrow));
    for (const Path& arm : cross_mark.paths) {
      out.label_boxes.push_back(arm.box().grown(kCrossWidth));
    }
    if (!cross_mark.paths.empty()) out.labels.emplace_back(cross_mark);
    ticks.paths.clear();
    for (const Path& tick : all_ticks) {
      if (!paper.contains(tick.box())) continue;
      ticks.paths.push_back(tick);
      out.label_boxes.push_back(tick.box().grown(kDatumTickWidth));
    }
    if (!ticks.paths.empty()) out.labels.emplace_back(ticks);
    out.part = part;
    parts.push_back(moved(out, Affine::translate(-out.area.min)));
  }
  return parts;
}

}  // namespace underdraw
