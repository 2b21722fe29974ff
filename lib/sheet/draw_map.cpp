#include "sheet/draw_map.h"

#include <array>

#include <fmt/format.h>

#include "core/error.h"
#include "sheet/page_frame.h"
#include "sheet/placement_list.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kLeftGutter = 9.0;   // heights
constexpr double kRightGutter = 7.5;  // rim, seam, foot
constexpr double kTopGutter = 3.0;
constexpr double kBottomGutter = 7.5;  // angles
constexpr double kAxisSize = 2.3;
constexpr double kLargestNumber = 3.0;
constexpr double kSmallestNumber = 1.8;
constexpr double kThinnest = 0.12;
constexpr Grey kQuiet{0.35};
constexpr Grey kFaint{0.82};

// The smallest of the steps that keeps labels this far apart; the largest step if none does.
double axis_step(std::initializer_list<double> steps, double apart) {
  for (const double step : steps) {
    if (step >= apart) return step;
  }
  return *(steps.end() - 1);
}

struct Drawn {
  const Placement* placement;
  Linework lines;  // map page, mm
  Box box;
  Vec2 centre;
};

class MapDrawer {
 public:
  MapDrawer(const PlacedFace& face, const std::vector<Motif>& motifs, const Box& box)
      : face_(face) {
    const Surface& surface = face.surface;
    const Box whole{{0.0, 0.0}, {surface.widest_mm(), surface.along_mm()}};
    const auto spot_of = [&](const Placement& p) {
      if (!surface.round()) return Vec2{p.at.across, p.at.along};
      return Vec2{p.at.across / 360.0 * surface.widest_mm(), surface.along_mm() - p.at.along};
    };
    const auto whole_from_motif = [&](const Placement& p, const Motif& motif) {
      return Affine::translate(spot_of(p)) * p.copy_from_motif(motif);
    };
    Box extent = whole;
    for (const Placement& p : face.placements) {
      const Motif& motif = motif_named(motifs, p.motif);
      extent.add(transformed(motif.lines, whole_from_motif(p, motif)).ink_box());
    }
    const Vec2 room{box.width() - kLeftGutter - kRightGutter,
                    box.height() - kTopGutter - kBottomGutter};
    double scale = std::min({1.0, room.x / extent.width(), room.y / extent.height()});
    if (scale < 1.0) scale = std::max(std::floor(scale * 100.0) / 100.0, 0.01);
    map_.scale = scale;
    // In the middle of the box's width, at its top.
    const double spare = std::max(0.0, room.x - scale * extent.width());
    page_from_template_ = Affine::translate(box.min + Vec2{kLeftGutter + spare / 2.0, kTopGutter} -
                                            extent.min * scale) *
                          Affine::scale(scale);
    template_box_ = moved(whole, page_from_template_);
    map_.height_mm = kTopGutter + scale * extent.height() + kBottomGutter;
    for (const Placement& p : face.placements) {
      const Motif& motif = motif_named(motifs, p.motif);
      Linework lines = transformed(motif.lines, page_from_template_ * whole_from_motif(p, motif));
      const Box ink = lines.ink_box();
      drawn_.push_back({&p, std::move(lines), ink, page_from_template_ * spot_of(p)});
    }
  }

  FaceMap draw() {
    axes();
    for (const Drawn& d : drawn_) ghosts(d);
    for (const Drawn& d : drawn_) add(linework_marks(d.lines, kThinnest));
    for (const Drawn& d : drawn_) ticks(d);
    border();
    numbers();
    return std::move(map_);
  }

 private:
  void add(std::vector<Mark> marks) {
    for (Mark& mark : marks) map_.marks.push_back(std::move(mark));
  }
  void line(Vec2 from, Vec2 to, double width_mm, Grey colour, std::vector<double> dashes = {}) {
    PathMark mark;
    mark.paths = {line_between(from, to)};
    mark.line_width_mm = width_mm;
    mark.line = colour;
    mark.dashes_mm = std::move(dashes);
    map_.marks.emplace_back(std::move(mark));
  }
  void text(const std::string& words, Vec2 at, Align align, double turn_deg = 0.0) {
    map_.marks.emplace_back(TextMark{words, at, kAxisSize, align, false, turn_deg, kQuiet});
  }

  // Of ticks and numbers: smaller on small maps.
  double size() const { return std::clamp(map_.scale / 0.4, 0.4, 1.0); }

  // Angle or width below, height at the left, with a faint net over the template.
  void axes() {
    const Surface& surface = face_.surface;
    const bool round = surface.round();
    const double across_units = round ? 360.0 : surface.widest_mm();
    const double mm_per_unit = template_box_.width() / across_units;
    const double step = round ? axis_step({5, 10, 15, 30, 45, 60, 90, 180}, 9.0 / mm_per_unit)
                              : axis_step({5, 10, 20, 50, 100, 200, 500, 1000}, 9.0 / mm_per_unit);
    for (int i = 0; i * step <= across_units + 1e-9; ++i) {
      const double x = template_box_.min.x + i * step * mm_per_unit;
      line({x, template_box_.min.y}, {x, template_box_.max.y}, 0.1, kFaint);
      line({x, template_box_.max.y}, {x, template_box_.max.y + 1.5}, 0.2, kQuiet);
      text(fmt::format("{:g}{}", i * step, round ? "°" : ""),
           {x, template_box_.max.y + 4.1},
           Align::centre);
    }
    const double rise = map_.scale;
    const double up = axis_step({5, 10, 20, 50, 100, 200, 500, 1000}, 6.0 / rise);
    for (int i = 0; i * up <= surface.along_mm() + 1e-9; ++i) {
      const double along = i * up * rise;
      const double y = round ? template_box_.max.y - along : template_box_.min.y + along;
      line({template_box_.min.x, y}, {template_box_.max.x, y}, 0.1, kFaint);
      line({template_box_.min.x - 1.5, y}, {template_box_.min.x, y}, 0.2, kQuiet);
      text(fmt::format("{:g}", i * up),
           {template_box_.min.x - 2.3, y + 0.36 * kAxisSize},
           Align::right);
    }
    text(round ? "s mm" : "y mm",
         {template_box_.min.x - 6.8, template_box_.centre().y},
         Align::centre,
         -90.0);
    text(round ? "a, from the seam to the right" : "x mm",
         {template_box_.centre().x, template_box_.max.y + 7.0},
         Align::centre);
  }

  void border() {
    const Box& b = template_box_;
    if (!face_.surface.round()) {
      PathMark frame;
      frame.paths = {rectangle(b)};
      frame.line_width_mm = 0.35;
      map_.marks.emplace_back(frame);
      return;
    }
    line(b.min, {b.max.x, b.min.y}, 0.35, {});
    line({b.min.x, b.max.y}, b.max, 0.6, {});
    line(b.min, {b.min.x, b.max.y}, 0.3, {}, {2.0, 1.2});
    line({b.max.x, b.min.y}, b.max, 0.3, {}, {2.0, 1.2});
    text("rim", {b.max.x + 1.5, b.min.y + 0.7 * kAxisSize}, Align::left);
    text("foot", {b.max.x + 1.5, b.max.y}, Align::left);
    if (b.height() > 22.0) text("seam", {b.max.x + 3.2, b.centre().y}, Align::centre, -90.0);
  }

  // What runs over the seam comes in again at the other end.
  void ghosts(const Drawn& d) {
    if (!face_.surface.round()) return;
    for (const double side : {-1.0, 1.0}) {
      const Affine round = Affine::translate({side * template_box_.width(), 0.0});
      const Box there = moved(d.box, round);
      if (!there.overlaps(template_box_)) continue;
      add(linework_marks(transformed(d.lines, round), kThinnest, {0.6}));
    }
  }

  void ticks(const Drawn& d) {
    const double gap = 0.4 * size();
    const double tick = 1.2 * size();
    const Box& b = d.box;
    PathMark mark;
    mark.line_width_mm = 0.15;
    mark.paths = {line_between({d.centre.x, b.min.y - gap}, {d.centre.x, b.min.y - gap - tick}),
                  line_between({d.centre.x, b.max.y + gap}, {d.centre.x, b.max.y + gap + tick}),
                  line_between({b.min.x - gap, d.centre.y}, {b.min.x - gap - tick, d.centre.y}),
                  line_between({b.max.x + gap, d.centre.y}, {b.max.x + gap + tick, d.centre.y})};
    map_.marks.emplace_back(mark);
  }

  bool free(const Box& label) const {
    if (!template_box_.contains(label)) return false;
    for (const Box& other : taken_) {
      if (other.overlaps(label)) return false;
    }
    const Box near = label.grown(0.4);
    for (const Drawn& d : drawn_) {
      if (!d.box.overlaps(near)) continue;
      for (const Stroke& stroke : d.lines.strokes) {
        if (!stroke.path.box().grown(0.1).overlaps(near)) continue;
        for (const Vec2 p : sample(stroke.path, 0.5)) {
          if (near.contains(p)) return false;
        }
      }
      for (const Area& area : d.lines.areas) {
        for (const Path& ring : area.rings) {
          if (ring.box().overlaps(near)) return false;
        }
      }
    }
    return true;
  }

  // Beside the drawing or in an empty corner of it; on a white spot in its middle if all is full.
  void numbers() {
    const double number_size = std::max(kSmallestNumber, kLargestNumber * size());
    const double h = number_size * kCapHeight;
    const double beside = 2.2 * size();
    for (const Drawn& d : drawn_) {
      TextMark number{
          std::to_string(d.placement->id), {}, number_size, Align::centre, true, 0.0, {}};
      const double w = text_width_mm(number);
      const Vec2 half{w / 2.0, h / 2.0};
      const Box& b = d.box;
      const double off = beside + h / 2.0;
      const std::array<Vec2, 9> centres = {{{d.centre.x, b.max.y + off},
                                            {d.centre.x, b.min.y - off},
                                            b.max - half,
                                            {b.min.x + half.x, b.max.y - half.y},
                                            {b.max.x - half.x, b.min.y + half.y},
                                            b.min + half,
                                            {b.max.x + beside + half.x, d.centre.y},
                                            {b.min.x - beside - half.x, d.centre.y},
                                            d.centre}};
      std::size_t best = centres.size() - 1;
      for (std::size_t i = 0; i < centres.size(); ++i) {
        if (free(Box{centres[i] - half, centres[i] + half})) {
          best = i;
          break;
        }
      }
      const Vec2 at = centres[best];
      PathMark spot;
      spot.line_width_mm = 0.0;
      spot.filled = true;
      spot.fill = {1.0};
      spot.paths = {rounded_rectangle(Box{at - half, at + half}.grown(0.4 * size()), 1.2)};
      map_.marks.emplace_back(spot);
      number.at = at + Vec2{0.0, h / 2.0};
      map_.marks.emplace_back(number);
      taken_.push_back(Box{at - half, at + half}.grown(0.4 * size()));
    }
  }

  const PlacedFace& face_;
  FaceMap map_;
  Affine page_from_template_;
  Box template_box_;
  std::vector<Drawn> drawn_;
  std::vector<Box> taken_;
};

constexpr double kNoteHeight = 5.0;  // of the line that says where the rest of the list is

struct MapPage {
  Drawing page;
  double scale = 1.0;
};

MapPage map_page(const std::string& piece,
                 const PlacedFace& face,
                 const std::vector<Motif>& motifs,
                 const MapOptions& options) {
  SheetOptions sheet;
  sheet.paper = options.paper;
  sheet.margin_mm = options.margin_mm;
  const SheetFrame frame = frame_of(sheet);
  Drawing page{options.paper.width_mm, options.paper.height_mm, {}};
  Box room = text_room(frame);
  room.min.y = frame.work.min.y + 1.0;
  FaceMap map = face_map(face, motifs, room);
  const std::size_t count = face.placements.size();
  for (Mark& mark : head_marks(frame,
                               {piece,
                                fmt::format("{} · placement map", face.face.name),
                                "",
                                fmt::format("{}{} · {} placement{} · ticks as on the cut-outs",
                                            map.scale < 1.0 ? "drawn to " : "",
                                            scale_words(map.scale),
                                            count,
                                            count == 1 ? "" : "s")})) {
    page.marks.push_back(std::move(mark));
  }
  for (Mark& mark : map.marks) page.marks.push_back(std::move(mark));
  const std::vector<ListRow> rows = list_rows({face}, motifs);
  Box below{{room.min.x, room.min.y + map.height_mm + 5.0}, room.max};
  DrawnList list = draw_list(rows, 0, below);
  if (list.rows < rows.size() && below.height() > kNoteHeight) {
    below.max.y -= kNoteHeight;
    list = draw_list(rows, 0, below);
    TextMark note;
    note.text = fmt::format("{} {} on the cover of the sheets",
                            list.rows > 0 ? "The other" : "All",
                            rows.size() - list.rows);
    note.at = {room.min.x, room.max.y - 1.0};
    note.height_mm = 2.9;
    note.colour = {0.35};
    page.marks.emplace_back(std::move(note));
  }
  for (Mark& mark : list.marks) page.marks.push_back(std::move(mark));
  return {std::move(page), map.scale};
}

}  // namespace

void MapOptions::validate() const {
  require_between(paper.width_mm, 50.0, 2000.0, "paper width", "mm");
  require_between(paper.height_mm, 50.0, 2000.0, "paper height", "mm");
  require_between(margin_mm, kLeastMarginMm, kMostMarginMm, "paper margin", "mm");
}

std::string scale_words(double scale) {
  if (scale >= 1.0) return "true size";
  return fmt::format("scale {:.0f} %", 100.0 * scale);
}

FaceMap face_map(const PlacedFace& face, const std::vector<Motif>& motifs, const Box& box) {
  return MapDrawer(face, motifs, box).draw();
}

std::vector<Drawing> draw_maps(const std::string& piece,
                               const std::vector<PlacedFace>& faces,
                               const std::vector<Motif>& motifs,
                               const MapOptions& options) {
  options.validate();
  std::vector<Drawing> pages;
  for (const PlacedFace& face : faces) {
    MapOptions turned = options;
    std::swap(turned.paper.width_mm, turned.paper.height_mm);
    MapPage upright = map_page(piece, face, motifs, options);
    MapPage sideways = map_page(piece, face, motifs, turned);
    const bool turn = sideways.scale > upright.scale;
    pages.push_back(std::move(turn ? sideways.page : upright.page));
  }
  return pages;
}

}  // namespace underdraw
