#include "sheet/face_map.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "sheet/clip_lines.h"
#include "sheet/label_room.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"
#include "sheet/zones.h"

namespace underdraw {
namespace {

constexpr double kLeftGutter = 9.0;    // heights
constexpr double kRightGutter = 7.5;   // rim, seam, foot
constexpr double kRoundGutter = 15.0;  // circumferences as well
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

// An angle at which words stand upright or nearly so.
double readable_deg(double deg) {
  const double turn = std::remainder(deg, 360.0);
  return turn > 90.0 ? turn - 180.0 : turn < -90.0 ? turn + 180.0 : turn;
}

struct Drawn {
  const Placement* placement;
  const Motif* motif;
  Affine page_from_copy;
  Linework lines;  // map page
  Box copy_box;    // of its ink, copy frame
  Box box;         // of its ink, map page
  Vec2 centre;
};

class MapDrawer {
 public:
  MapDrawer(const PlacedFace& face, const std::vector<Motif>& motifs, const Box& box)
      : face_(face), chart_(face), zones_(zone_pieces(face)) {
    Box extent = chart_box();
    for (const Placement& p : face.placements) {
      const Motif& motif = motif_named(motifs, p.motif);
      const Linework copy = transformed(motif.lines, p.copy_from_motif(motif));
      const Affine chart_from_copy = chart_.chart_from_copy(p.at);
      extent.add(transformed(copy, chart_from_copy).ink_box());
      drawn_.push_back({&p, &motif, chart_from_copy, copy, copy.ink_box(), {}, {}});
    }
    const bool all_round = chart_.bent();
    const double left = kLeftGutter;
    const double right = all_round               ? kLeftGutter
                         : with_circumferences() ? kRoundGutter
                                                 : kRightGutter;
    const double top = chart_.full_circle() ? kBottomGutter : kTopGutter;
    const Vec2 room{box.width() - left - right, box.height() - top - kBottomGutter};
    double scale = std::min({1.0, room.x / extent.width(), room.y / extent.height()});
    if (scale < 1.0) scale = std::max(std::floor(scale * 100.0) / 100.0, 0.01);
    map_.scale = scale;
    // In the middle of the box's width, at its top.
    const double spare = std::max(0.0, room.x - scale * extent.width());
    page_from_chart_ =
        Affine::translate(box.min + Vec2{left + spare / 2.0, top} - extent.min * scale) *
        Affine::scale(scale);
    map_.height_mm = top + scale * extent.height() + kBottomGutter;
    face_box_ = moved(chart_box(), page_from_chart_);
    box_ = {box.min, {box.max.x, box.min.y + map_.height_mm}};
    for (Drawn& d : drawn_) {
      d.page_from_copy = page_from_chart_ * d.page_from_copy;
      d.lines = transformed(d.lines, d.page_from_copy);
      d.box = d.lines.ink_box();
      d.centre = d.page_from_copy * Vec2{0.0, 0.0};
    }
  }

  FaceMap draw(const std::vector<FaceTint>& tints) {
    for (const FaceTint& tint : tints) lay_under(tint);
    net();
    zones();
    for (const Drawn& d : drawn_) ghosts(d);
    for (const Drawn& d : drawn_) copy(d);
    for (const Drawn& d : drawn_) ticks(d);
    for (const Drawn& d : drawn_) darts(d);
    border();
    zone_words();
    numbers();
    scales();
    notes();
    return std::move(map_);
  }

 private:
  bool round() const { return face_.surface.round(); }
  bool with_circumferences() const { return round() && chart_.stretched(); }

  // Ink keeps clear of what labels are placed against, the faint net excepted.
  void put(Mark mark, bool in_the_way = true) {
    if (in_the_way) room_.add(mark);
    map_.marks.push_back(std::move(mark));
  }
  PathMark line(const std::vector<Vec2>& chart_points, double width_mm, Grey colour = {}) const {
    PathMark mark;
    std::vector<Vec2> points;
    for (const Vec2 p : chart_points) points.push_back(page_from_chart_ * p);
    mark.paths = {Path::polyline(points)};
    mark.line_width_mm = width_mm;
    mark.line = colour;
    return mark;
  }

  Box chart_box() const {
    Box box;
    const double steps = chart_.bent() ? 240.0 : 1.0;
    for (int i = 0; i <= static_cast<int>(steps); ++i) {
      for (const double along : {0.0, chart_.along_mm()}) {
        box.add(chart_.at({chart_.across_units() * i / steps, along}));
      }
    }
    return box;
  }

  // Of ticks and numbers: smaller on small maps.
  double size() const { return std::clamp(map_.scale / 0.4, 0.4, 1.0); }

  double across_step() const {
    // Where the labels stand: on the edge with along 0, which on a net may be the shorter one.
    const double apart =
        9.0 / (chart_.mm_per_across() * map_.scale) *
        (chart_.bent() ? face_.surface.widest_mm() / face_.surface.width_mm(0.0) : 1.0);
    return round() ? axis_step({5, 10, 15, 30, 45, 60, 90, 180}, apart)
                   : axis_step({5, 10, 20, 50, 100, 200, 500, 1000}, apart);
  }
  double along_step() const {
    return axis_step({5, 10, 20, 50, 100, 200, 500, 1000}, 6.0 / map_.scale);
  }

  void net() {
    for (int i = 0; i * across_step() <= chart_.across_units() + 1e-9; ++i) {
      put(line(chart_.side(i * across_step()), 0.1, kFaint), false);
    }
    for (int i = 0; i * along_step() <= chart_.along_mm() + 1e-9; ++i) {
      put(line(chart_.level(i * along_step()), 0.1, kFaint), false);
    }
  }

  void lay_under(const FaceTint& tint) {
    PathMark mark;
    mark.line_width_mm = 0.0;
    mark.filled = true;
    mark.fill = tint.tint;
    std::vector<std::vector<Vec2>> rings;  // chart
    for (const Ring& ring : tint.on_face.empty() ? face_.surface.outline() : tint.on_face) {
      rings.emplace_back();
      for (const Vec2 p : ring) rings.back().push_back(chart_.at({p.x, p.y}));
    }
    if (rings.empty()) {
      rings.push_back(chart_.level(0.0));
      const std::vector<Vec2> back = chart_.level(chart_.along_mm());
      rings.back().insert(rings.back().end(), back.rbegin(), back.rend());
    }
    for (std::vector<Vec2>& ring : rings) {
      for (Vec2& p : ring) p = page_from_chart_ * p;
      mark.paths.push_back(Path::polyline(ring, true));
    }
    put(std::move(mark), false);
  }

  void zones() {
    for (const ZonePiece& zone : zones_) {
      const double per_across =
          chart_.bent() ? face_.surface.mm_per_across(zone.middle().along) : chart_.mm_per_across();
      PathMark hatch = line({}, 0.12, kZoneGrey);
      hatch.paths.clear();
      for (const FaceLine& h :
           hatching(face_.surface, zone, kZoneHatchMm / map_.scale, per_across)) {
        hatch.paths.push_back(
            line_between(page_from_chart_ * chart_.at(h.from), page_from_chart_ * chart_.at(h.to)));
      }
      if (!hatch.paths.empty()) put(std::move(hatch), false);
      for (const double along : {zone.along_from, zone.along_to}) {
        put(line(chart_.level(along, zone.across_from, zone.across_to), 0.25, {0.3}));
      }
      for (const double across : {zone.across_from, zone.across_to}) {
        put(line(chart_.side(across, zone.along_from, zone.along_to), 0.25, {0.3}));
      }
    }
  }

  // A white spot under words that stand on hatching or lines.
  void spot(const Box& words) {
    PathMark mark;
    mark.line_width_mm = 0.0;
    mark.filled = true;
    mark.fill = {1.0};
    mark.paths = {rounded_rectangle(words.grown(0.4 * size()), 1.2)};
    map_.marks.emplace_back(std::move(mark));
    room_.add(words.grown(0.4 * size()));
  }

  void zone_words() {
    for (const ZonePiece& zone : zones_) {
      if (zone.why.empty()) continue;
      Box area;
      for (const double across : {zone.across_from, zone.across_to}) {
        for (const double along : {zone.along_from, zone.along_to}) {
          area.add(page_from_chart_ * chart_.at({across, along}));
        }
      }
      TextMark words{zone.why, {}, kAxisSize, Align::centre, false, 0.0, {0.2}};
      const double long_side = text_width_mm(words);
      const double h = kAxisSize * kAscent;
      const Vec2 c = area.centre();
      struct Spot {
        Vec2 centre;
        double turn;
        double room;  // that the zone offers along the words; 0: beside it
      };
      const double off = kAxisSize * 0.75 + 0.6;
      const std::array<Spot, 5> spots = {{{c, 0.0, area.width()},
                                          {c, -90.0, area.height()},
                                          {{c.x, area.min.y - off}, 0.0, 0.0},
                                          {{c.x, area.max.y + off}, 0.0, 0.0},
                                          {c, 0.0, 0.0}}};
      for (const Spot& s : spots) {
        const bool upright = s.turn == 0.0;
        const Vec2 half = upright ? Vec2{long_side, h} / 2.0 : Vec2{h, long_side} / 2.0;
        const Box at{s.centre - half, s.centre + half};
        const bool last = &s == &spots.back();
        if (!last && s.room > 0.0 && s.room < long_side + 1.0) continue;
        if (!last && (!room_.free(at.grown(0.3)) || !box_.contains(at))) continue;
        spot(at);
        words.turn_deg = s.turn;
        words.at = s.centre + (upright ? Vec2{0.0, 0.36 * kAxisSize} : Vec2{0.36 * kAxisSize, 0.0});
        map_.marks.emplace_back(words);
        break;
      }
    }
  }

  void border() {
    const Surface& surface = face_.surface;
    if (!round()) {
      PathMark frame;
      frame.line_width_mm = 0.35;
      if (surface.outline().empty()) frame.paths = {rectangle(face_box_)};
      for (const auto& ring : surface.outline()) {
        std::vector<Vec2> points;
        for (const Vec2 p : ring) points.push_back(page_from_chart_ * chart_.at({p.x, p.y}));
        frame.paths.push_back(Path::polyline(points, true));
      }
      put(std::move(frame));
      return;
    }
    put(line(chart_.level(chart_.along_mm()), 0.35));
    put(line(chart_.level(0.0), 0.6));
    for (const double across : {0.0, chart_.across_units()}) {
      PathMark seam = line(chart_.side(across), 0.3);
      seam.dashes_mm = {2.0, 1.2};
      put(std::move(seam));
    }
  }

  void copy(const Drawn& d) {
    put(looks_.laid(
        d.motif->name, d.page_from_copy * d.placement->copy_from_motif(*d.motif), [&](auto& look) {
          return linework_marks(transformed(d.motif->lines, look), kThinnest);
        }));
  }

  // What runs over the seam comes in again at the other end.
  void ghosts(const Drawn& d) {
    const std::optional<Affine> once = chart_.once_round();
    if (!once) return;
    const double a = d.placement->at.across;
    // Over the left seam and in at the right end, or the other way.
    const bool left = a < 180.0;
    const Affine turn = left ? *once : once->inverse();
    const Affine shift = page_from_chart_ * turn * page_from_chart_.inverse();
    const Affine page_from_seam =
        page_from_chart_ * chart_.chart_from_copy({left ? 0.0 : 360.0, d.placement->at.along});
    const Affine seam_from_page = page_from_seam.inverse();
    const Linework over = left_of_axis(
        transformed(d.lines, left ? seam_from_page : mirrored(seam_from_page)), 0.05 / map_.scale);
    if (over.empty()) return;
    const Affine page_from_over =
        shift * (left ? page_from_seam : page_from_seam * Affine::mirror_x());
    for (PathMark& mark : linework_marks(transformed(over, page_from_over), kThinnest, {0.6})) {
      put(std::move(mark));
    }
  }
  static Affine mirrored(const Affine& seam_from_page) {
    return Affine::mirror_x() * seam_from_page;
  }

  void ticks(const Drawn& d) {
    const double gap = 0.4 * size() / map_.scale;
    const double tick = 1.2 * size() / map_.scale;
    const Box& b = d.copy_box;
    PathMark mark;
    mark.line_width_mm = 0.15;
    mark.paths = {line_between({0, b.min.y - gap}, {0, b.min.y - gap - tick}),
                  line_between({0, b.max.y + gap}, {0, b.max.y + gap + tick}),
                  line_between({b.min.x - gap, 0}, {b.min.x - gap - tick, 0}),
                  line_between({b.max.x + gap, 0}, {b.max.x + gap + tick, 0})};
    for (Path& path : mark.paths) path = transformed(path, d.page_from_copy);
    put(std::move(mark));
  }

  void darts(const Drawn& d) {
    if (d.placement->darts.empty()) return;
    std::vector<Path> cuts;
    for (const Path& dart : d.placement->darts) {
      cuts.push_back(transformed(dart, d.page_from_copy));
    }
    PathMark mark = line({}, kDartWidthMm);
    mark.paths = std::move(cuts);
    mark.dashes_mm = kDartDashes;
    put(std::move(mark));
  }

  // Beside the drawing or in an empty corner of it; on a white spot in its middle if all is full.
  void numbers() {
    const double number_size = std::max(kSmallestNumber, kLargestNumber * size());
    const double h = number_size * kCapHeight;
    const double beside = 2.2 * size();
    for (const Drawn& d : drawn_) {
      TextMark number{
          std::to_string(d.placement->id), {}, number_size, Align::centre, true, 0.0, {}};
      const double digits = text_width_mm(number);
      const double sign = d.placement->too_fine ? h + 0.25 * h : 0.0;
      const Vec2 half{(digits + sign) / 2.0, h / 2.0};
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
        const Box label{centres[i] - half, centres[i] + half};
        if (face_box_.contains(label) && room_.free(label.grown(0.4))) {
          best = i;
          break;
        }
      }
      const Vec2 at = centres[best];
      spot(Box{at - half, at + half});
      if (sign > 0.0) map_.marks.emplace_back(too_fine_sign(at - Vec2{half.x - h / 2.0, 0.0}, h));
      number.at = at + Vec2{sign / 2.0, h / 2.0};
      map_.marks.emplace_back(number);
    }
  }

  // Words beside an edge, at `off` mm on the page from a point of the face in the direction that
  // `way` has in the frame of paper laid there.
  void beside(FacePoint point, Vec2 way, double off, const std::string& words, Align align) {
    const Affine page_from_here = page_from_chart_ * chart_.chart_from_copy(point);
    const Vec2 at = page_from_here * Vec2{0.0, 0.0};
    const double turn = degrees(std::atan2(page_from_here.yx, page_from_here.xx));
    const double upright = readable_deg(turn);
    const bool flipped = std::abs(std::remainder(turn - upright, 360.0)) > 1.0;
    const Vec2 out = normalized(page_from_here * way - at);
    // The baseline is set so that the middle of the letters is `off` away.
    const Vec2 down = Affine::turn_deg(upright) * Vec2{0.0, 1.0};
    TextMark text{words,
                  at + out * off + down * (0.36 * kAxisSize),
                  kAxisSize,
                  align,
                  false,
                  upright,
                  kQuiet};
    if (flipped && align != Align::centre) {
      text.align = align == Align::left ? Align::right : Align::left;
    }
    // The seam of a ring has both its ends and a copy or two beside it.
    const bool at_seam = point.across == 0.0 || point.across == 360.0;
    const Box box = text_box(text);
    if (chart_.full_circle() && at_seam && !room_.free(box)) return;
    put(text);
  }

  void tick(FacePoint point, Vec2 way) {
    const Affine page_from_here = page_from_chart_ * chart_.chart_from_copy(point);
    const Vec2 at = page_from_here * Vec2{0.0, 0.0};
    PathMark mark;
    mark.paths = {line_between(at, at + normalized(page_from_here * way - at) * 1.5)};
    mark.line_width_mm = 0.2;
    mark.line = kQuiet;
    put(std::move(mark), false);
  }

  void text(const std::string& words, Vec2 at, Align align, double turn_deg = 0.0) {
    put(TextMark{words, at, kAxisSize, align, false, turn_deg, kQuiet});
  }

  // Angle or width below, height at the left, names of the edges at the right.
  void scales() {
    const double top = chart_.along_mm();
    const double low_edge = round() ? 0.0 : top;
    for (int i = 0; i * across_step() <= chart_.across_units() + 1e-9; ++i) {
      const FacePoint point{i * across_step(), low_edge};
      tick(point, {0.0, 1.0});
      beside(point,
             {0.0, 1.0},
             3.2,
             fmt::format("{:g}{}", point.across, round() ? "°" : ""),
             Align::centre);
    }
    for (int i = 0; i * along_step() <= top + 1e-9; ++i) {
      const FacePoint point{0.0, i * along_step()};
      tick(point, {-1.0, 0.0});
      beside(point, {-1.0, 0.0}, 2.3, fmt::format("{:g}", point.along), Align::right);
    }
    const EdgeNames names = edge_names(face_.face.form);
    if (chart_.bent()) {
      bent_words(names);
      return;
    }
    const Box& b = face_box_;
    text(round() ? "s mm" : "y mm", {b.min.x - 6.8, b.centre().y}, Align::centre, -90.0);
    text(round() ? "a, from the seam to the right" : "x mm",
         {b.centre().x, b.max.y + 7.0},
         Align::centre);
    if (!round()) return;
    const double right = b.max.x + 1.5;
    if (with_circumferences()) {
      circumferences(names, right);
      return;
    }
    text(names.high, {right, b.min.y + 0.7 * kAxisSize}, Align::left);
    text(names.low, {right, b.max.y}, Align::left);
    if (b.height() > 22.0) text("seam", {right + 1.7, b.centre().y}, Align::centre, -90.0);
  }

  void bent_words(const EdgeNames& names) {
    const double across = chart_.across_units();
    const double middle = across / 2.0;
    for (const double away : {7.4, 9.0, -4.0}) {
      // Below the middle of the lower edge; on a ring in its hole, where there is room.
      const FacePoint point =
          chart_.full_circle() ? FacePoint{0.0, chart_.along_mm()} : FacePoint{middle, 0.0};
      Affine here = page_from_chart_ * chart_.chart_from_copy(point);
      const Vec2 at = here * Vec2{0.0, 0.0};
      const double down = chart_.full_circle() ? -8.0 + away : away;
      TextMark words{"a, from the seam to the right",
                     at + Vec2{0.0, down},
                     kAxisSize,
                     Align::centre,
                     false,
                     0.0,
                     kQuiet};
      if (!room_.free(text_box(words).grown(0.3)) || !box_.contains(text_box(words))) continue;
      put(words);
      break;
    }
    if (chart_.full_circle()) {
      beside({middle, 0.0}, {0.0, 1.0}, 5.8, names.low, Align::centre);
      beside({middle, chart_.along_mm()}, {0.0, -1.0}, 2.2, names.high, Align::centre);
    } else {
      beside({across, chart_.along_mm()}, {1.0, 0.0}, 1.5, names.high, Align::left);
      beside({across, 0.0}, {1.0, 0.0}, 1.5, names.low, Align::left);
      beside({across, chart_.along_mm() / 2.0}, {1.0, 0.0}, 1.5, "seam", Align::left);
    }
  }

  // How long the tape is round the wall at each height, for a last check at the piece.
  void circumferences(const EdgeNames& names, double right) {
    const Surface& surface = face_.surface;
    const Box& b = face_box_;
    const auto words = [&](double along) {
      const double mm = surface.width_mm(along);
      return mm < 1.0 ? std::string() : fmt::format("{:.0f}", mm);
    };
    const double top = chart_.along_mm();
    const auto y = [&](double along) { return b.max.y - along * map_.scale + 0.36 * kAxisSize; };
    const auto named = [&](const std::string& name, double along) {
      // A pole's name is longer than the gutter is wide.
      const std::string shortened = name.substr(0, name.find(' '));
      text(fmt::format("{} {}", words(along).empty() ? "pole" : shortened, words(along)),
           {right, y(along)},
           Align::left);
    };
    named(names.high, top);
    named(names.low, 0.0);
    const double clear = 4.0 / map_.scale;
    for (int i = 1; i * along_step() < top; ++i) {
      const double along = i * along_step();
      if (along < clear || along > top - clear) continue;
      tick({chart_.across_units(), along}, {1.0, 0.0});
      text(words(along), {right + 0.8, y(along)}, Align::left);
    }
    if (b.height() > 30.0) {
      text("mm round", {right + 9.0, b.centre().y}, Align::centre, -90.0);
    }
  }

  void notes() {
    const auto note = [&](MapNote::Sign sign, std::string words) {
      map_.notes.push_back({sign, std::move(words)});
    };
    if (chart_.stretched()) {
      const bool patch = !round();
      note(MapNote::Sign::none,
           patch
               ? "x and y are tape lengths over the surface from its top left corner. Copies are "
                 "drawn true; gaps between them look a little different where the surface is "
                 "narrower or wider than along its middle."
               : "The map is as wide as the widest part. Copies are drawn true; gaps between them "
                 "look wider than they are where the wall is narrower.");
    }
    if (!zones_.empty()) note(MapNote::Sign::zone, "stays free");
    const auto count = [&](auto is) {
      return std::count_if(face_.placements.begin(), face_.placements.end(), is);
    };
    if (count([](const Placement& p) { return !p.darts.empty(); }) > 0) {
      note(MapNote::Sign::dart, "cut the paper there, so that it lies on the curved surface");
    }
    if (count([](const Placement& p) { return p.too_fine; }) > 0) {
      note(MapNote::Sign::too_fine,
           "lines come closer than the pen can keep apart: draw these larger or leave some out");
    }
  }

  const PlacedFace& face_;
  MapChart chart_;
  std::vector<ZonePiece> zones_;
  FaceMap map_;
  Affine page_from_chart_;
  Box face_box_, box_;
  std::vector<Drawn> drawn_;
  LookOfMotifs looks_;
  LabelRoom room_;
};

}  // namespace

FaceMap face_map(const PlacedFace& face,
                 const std::vector<Motif>& motifs,
                 const Box& box,
                 const std::vector<FaceTint>& tints) {
  return MapDrawer(face, motifs, box).draw(tints);
}

}  // namespace underdraw
