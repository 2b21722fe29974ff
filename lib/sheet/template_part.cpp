#include "sheet/template_part.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/format.h>

#include "sheet/clip_lines.h"
#include "sheet/label_room.h"
#include "sheet/map_chart.h"
#include "sheet/map_notes.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"
#include "sheet/zones.h"

namespace underdraw {
namespace {

constexpr double kCutMm = 0.3;
constexpr double kTickMm = 3.0;  // division marks
constexpr double kLeastDivisionMm = 3.0;
constexpr double kSeamTickMm = 7.0;
constexpr double kCrossMm = 2.6;  // half
constexpr double kUpMm = 6.0;     // of the arrow above the cross
constexpr double kWordSize = 2.6;
constexpr double kSmallSize = 2.0;
constexpr double kNameSize = 3.4;
constexpr double kProbeMm = 0.05;
constexpr double kStepMm = 2.0;  // of lines on the paper
constexpr Grey kQuiet{0.35};
constexpr Grey kCentreGrey{0.55};
const std::vector<double> kCentreDashes = {5.0, 1.2, 0.5, 1.2};

// A pole has none.
bool room_for_marks(const Surface& surface, double along, int count) {
  return surface.width_mm(along) >= kLeastDivisionMm * count;
}

class PartDrawer {
 public:
  PartDrawer(const PlacedFace& face, const FaceTemplate& shape, std::size_t index)
      : face_(face), shape_(shape), part_(shape.parts[index]), index_(index) {}

  std::vector<Mark> draw() {
    zones();
    centre_lines();
    PathMark cut = outline_mark(part_, kCutMm);
    cut.cut = true;
    put(std::move(cut));
    if (!part_.foot_edges.empty()) {
      divisions();
      seam_tick();
    }
    for (const Placement& p : face_.placements) cross(p);
    for (const Placement& p : face_.placements) darts(p);
    for (const Placement& p : face_.placements) number(p);
    zone_words();
    edge_words();
    name();
    return std::move(marks_);
  }

 private:
  const FaceSpan& span() const { return part_.covers; }
  bool round() const { return part_.surface.round(); }
  FacePoint middle() const {
    return {(span().across_from + span().across_to) / 2.0,
            (span().along_from + span().along_to) / 2.0};
  }

  void put(Mark mark) {
    const auto* path = std::get_if<PathMark>(&mark);
    if (path != nullptr && path->paths.empty()) return;
    room_.add(mark);
    marks_.push_back(std::move(mark));
  }

  // Paper laid at a point, as it lies on the part: x right along the level, y down the wall.
  Affine part_from_here(FacePoint point) const {
    const double up = part_.surface.up_per_along();
    const double low = span().along_from + kProbeMm, high = span().along_to - kProbeMm;
    const double along = std::clamp(point.along, std::min(low, high), std::max(low, high));
    const double probe = point.along > middle().along ? -kProbeMm : kProbeMm;
    const Vec2 way = (part_.part_from_face({point.across, along + probe}) -
                      part_.part_from_face({point.across, along})) /
                     probe * up;
    return Affine::translate(part_.part_from_face(point)) *
           Affine::turn_deg(degrees(std::atan2(way.x, -way.y)));
  }

  // Pieces of a line on the face that lie on this part.
  std::vector<std::vector<Vec2>> on_part(FacePoint from, FacePoint to) const {
    const double mm =
        std::hypot((to.across - from.across) * part_.surface.mm_per_across(middle().along),
                   to.along - from.along);
    const int n = std::clamp(static_cast<int>(std::ceil(mm / kStepMm)), 1, 4000);
    std::vector<std::vector<Vec2>> out(1);
    Vec2 before;
    for (int i = 0; i <= n; ++i) {
      const FacePoint p{std::lerp(from.across, to.across, i * 1.0 / n),
                        std::lerp(from.along, to.along, i * 1.0 / n)};
      const Vec2 here = part_.part_from_face(p);
      // A jump is a cut of the paper.
      const bool jump = !out.back().empty() && distance(here, before) > 1.5 * mm / n + 0.05;
      const bool on = part_.map->on_paper(p);
      if ((jump || !on) && !out.back().empty()) out.emplace_back();
      if (on) out.back().push_back(here);
      before = here;
    }
    std::erase_if(out, [](const std::vector<Vec2>& line) { return line.size() < 2; });
    return out;
  }
  PathMark lines(const std::vector<std::vector<Vec2>>& pieces, double width_mm, Grey grey) const {
    PathMark mark;
    for (const auto& piece : pieces) mark.paths.push_back(Path::polyline(piece));
    mark.line_width_mm = width_mm;
    mark.line = grey;
    return mark;
  }

  void centre_lines() {
    const FacePoint m = middle();
    for (const auto& [from, to] :
         {std::pair{FacePoint{span().across_from, m.along}, FacePoint{span().across_to, m.along}},
          std::pair{FacePoint{m.across, span().along_from},
                    FacePoint{m.across, span().along_to}}}) {
      PathMark mark = lines(on_part(from, to), 0.15, kCentreGrey);
      mark.dashes_mm = kCentreDashes;
      if (!mark.paths.empty()) put(std::move(mark));
    }
  }

  void divisions() {
    const double whole = round() ? 360.0 : part_.surface.widest_mm();
    const double low = round() ? span().along_from : span().along_to;
    const double high = round() ? span().along_to : span().along_from;
    std::vector<double> done;
    double tick = kTickMm;
    for (const int n : divisions_of(face_)) {
      for (int i = 0; i <= n; ++i) {
        const double across = whole * i / n;
        if (across < span().across_from - 1e-9 || across > span().across_to + 1e-9) continue;
        const auto near = [&](double other) { return std::abs(other - across) < whole * 1e-6; };
        if (std::any_of(done.begin(), done.end(), near)) continue;
        done.push_back(across);
        for (const double along : {low, high}) {
          if (!room_for_marks(part_.surface, along, n)) continue;
          const bool upward = along == low;
          const Affine here = part_from_here({across, along});
          const double in = upward ? -tick : tick;
          PathMark mark;
          mark.paths = {line_between(here * Vec2{0, 0}, here * Vec2{0, in})};
          mark.line_width_mm = 0.2;
          put(std::move(mark));
          if (i == 0 || i == n) continue;
          word(fmt::format("{}/{}", i, n),
               here,
               {0.0, in + (upward ? -2.1 : 2.1)},
               kSmallSize,
               kQuiet);
        }
      }
      tick = std::max(1.2, tick - 1.0);
    }
  }

  // Where counting begins: a solid tick at the foot.
  void seam_tick() {
    if (!round() || span().across_from > 1e-9 || span().along_from > 1e-9) return;
    const double tick = std::min(kSeamTickMm, (span().along_to - span().along_from) / 4.0);
    put(lines(on_part({span().across_from, 0.0}, {span().across_from, tick}), 0.9, {}));
  }

  // Words with their middle at a point of a frame, if nothing is in the way there.
  bool word(const std::string& text,
            const Affine& frame,
            Vec2 at,
            double size,
            Grey grey,
            double turn_deg = 0.0,
            bool bold = false) {
    const double turn = degrees(std::atan2(frame.yx, frame.xx)) + turn_deg;
    TextMark mark{text, {}, size, Align::centre, bold, turn, grey};
    mark.at = frame * at + Affine::turn_deg(turn) * Vec2{0.0, kCapHeight / 2.0 * size};
    if (!room_.free(mark, 0.3) || !inside(mark)) return false;
    put(std::move(mark));
    return true;
  }

  bool mine(const Placement& p) const { return &shape_.part_of(p.at) == &part_; }

  void cross(const Placement& p) {
    if (!mine(p)) return;
    const Affine here = part_from_here(p.at);
    PathMark mark;
    mark.line_width_mm = 0.25;
    mark.paths = {line_between(here * Vec2{-kCrossMm, 0}, here * Vec2{kCrossMm, 0}),
                  line_between(here * Vec2{0, kCrossMm}, here * Vec2{0, -kUpMm})};
    put(std::move(mark));
    PathMark tip;
    tip.line_width_mm = 0.0;
    tip.filled = true;
    tip.paths = {Path::polyline({here * Vec2{0, -kUpMm - 0.6},
                                 here * Vec2{0.8, -kUpMm + 1.4},
                                 here * Vec2{-0.8, -kUpMm + 1.4}},
                                true)};
    put(std::move(tip));
  }

  void number(const Placement& p) {
    if (!mine(p)) return;
    const Affine here = part_from_here(p.at);
    const std::string text = std::to_string(p.id);
    const double off = kCrossMm + 0.6 + text_width_mm(text, 3.0, true) / 2.0;
    for (const Vec2 at : {Vec2{off - 1.6, -2.4},
                          Vec2{1.6 - off, -2.4},
                          Vec2{off - 1.6, 2.6},
                          Vec2{1.6 - off, 2.6},
                          Vec2{off, 0},
                          Vec2{-off, 0},
                          Vec2{0, kCrossMm + 2.0}}) {
      if (word(text, here, at, 3.0, {}, 0.0, true)) return;
    }
    // Where all is full it still has to be there.
    TextMark mark{text, here * Vec2{off - 1.6, -1.4}, 3.0, Align::centre, true, 0.0, {}};
    put(std::move(mark));
  }

  void darts(const Placement& p) {
    if (!mine(p) || p.darts.empty()) return;
    std::vector<std::vector<Vec2>> pieces;
    for (const Path& dart : p.darts) {
      pieces.emplace_back();
      for (const Vec2 q : sample(dart, kStepMm)) {
        const FacePoint on = part_.surface.laid(p.at, q);
        if (part_.covers_point(on)) pieces.back().push_back(part_.part_from_face(on));
      }
    }
    std::erase_if(pieces, [](const std::vector<Vec2>& line) { return line.size() < 2; });
    PathMark mark = lines(pieces, kDartWidthMm, {});
    mark.dashes_mm = kDartDashes;
    if (!mark.paths.empty()) put(std::move(mark));
  }

  // As far as zones lie on this part.
  std::vector<ZonePiece> zones_here() const {
    std::vector<ZonePiece> out;
    for (ZonePiece zone : zone_pieces(face_)) {
      zone.across_from = std::max(zone.across_from, span().across_from);
      zone.across_to = std::min(zone.across_to, span().across_to);
      zone.along_from = std::max(zone.along_from, span().along_from);
      zone.along_to = std::min(zone.along_to, span().along_to);
      if (zone.across_to > zone.across_from && zone.along_to > zone.along_from) {
        out.push_back(std::move(zone));
      }
    }
    return out;
  }
  void zones() {
    for (const ZonePiece& zone : zones_here()) {
      const FacePoint c[4] = {{zone.across_from, zone.along_from},
                              {zone.across_to, zone.along_from},
                              {zone.across_to, zone.along_to},
                              {zone.across_from, zone.along_to}};
      PathMark hatch;
      hatch.line_width_mm = 0.12;
      hatch.line = {0.72};
      for (const FaceLine& h :
           hatching(part_.surface, zone, 3.0, part_.surface.mm_per_across(zone.middle().along))) {
        for (const auto& piece : on_part(h.from, h.to)) {
          hatch.paths.push_back(Path::polyline(piece));
        }
      }
      if (!hatch.paths.empty()) marks_.emplace_back(std::move(hatch));
      for (int i = 0; i < 4; ++i) put(lines(on_part(c[i], c[(i + 1) % 4]), 0.2, {0.4}));
    }
  }
  void zone_words() {
    for (const ZonePiece& zone : zones_here()) {
      if (zone.why.empty()) continue;
      const Affine here = part_from_here(zone.middle());
      const double w = text_width_mm(zone.why, kWordSize) / 2.0 + 0.5;
      const double h = kWordSize / 2.0;
      const bool upright = 2.0 * w < (zone.across_to - zone.across_from) *
                                         part_.surface.mm_per_across(zone.middle().along);
      PathMark spot;
      spot.line_width_mm = 0.0;
      spot.filled = true;
      spot.fill = {1.0};
      const Vec2 half = upright ? Vec2{w, h} : Vec2{h, w};
      spot.paths = {transformed(rounded_rectangle({-half, half}, 0.6), here)};
      const std::size_t under = marks_.size();
      if (word(zone.why, here, {0, 0}, kWordSize, {0.2}, upright ? 0.0 : -90.0)) {
        marks_.insert(marks_.begin() + static_cast<std::ptrdiff_t>(under), std::move(spot));
      }
    }
  }

  // Beside the middle of an edge, inside; further along where something is in the way.
  void along_edge(const std::string& text,
                  const std::function<Affine(double)>& at,
                  Vec2 in,
                  double turn) {
    if (text.empty()) return;
    for (const double share : {0.5, 0.42, 0.58, 0.34, 0.66, 0.25, 0.75, 0.15, 0.85}) {
      for (const double off : {1.0, 2.2, 3.4}) {
        if (word(text, at(share), in * off, kWordSize, kQuiet, turn)) return;
      }
    }
  }
  void edge_words() {
    if (part_.foot_edges.empty()) return;
    const double low = round() ? span().along_from : span().along_to;
    const double high = round() ? span().along_to : span().along_from;
    const auto on_level = [&](double along) {
      return [this, along](double share) {
        return part_from_here({std::lerp(span().across_from, span().across_to, share), along});
      };
    };
    along_edge(end_word(true), on_level(low), {0.0, -2.4}, 0.0);
    along_edge(end_word(false), on_level(high), {0.0, 2.4}, 0.0);
    if (!round()) return;
    const auto on_side = [&](double across) {
      return [this, across](double share) {
        return part_from_here({across, std::lerp(span().along_from, span().along_to, share)});
      };
    };
    along_edge(side_word(span().across_from), on_side(span().across_from), {2.2, 0.0}, -90.0);
    along_edge(side_word(span().across_to), on_side(span().across_to - 1e-9), {-2.2, 0.0}, -90.0);
  }
  std::string end_word(bool lower) const {
    if (!round()) return lower ? "lower edge" : "upper edge";
    const EdgeNames names = edge_names(face_.face.form);
    const std::size_t last = shape_.parts.size() - 1;
    if (shape_.kind != TemplateKind::bands || index_ == (lower ? 0 : last)) {
      return lower ? names.low : names.high;
    }
    return fmt::format("joins band {}", lower ? index_ : index_ + 2);
  }
  std::string side_word(double across) const {
    const bool at_seam = across < 1e-9 || across > 360.0 - 1e-9;
    return fmt::format("{}{:.4g}°", at_seam ? "seam, " : "", across);
  }

  void name() {
    const std::string text = part_.name == face_.face.name
                                 ? part_.name
                                 : fmt::format("{}, {}", face_.face.name, part_.name);
    const double width = span().across_to - span().across_from;
    const double height = span().along_to - span().along_from;
    for (const double size : {kNameSize, kWordSize}) {
      for (const double turn : {0.0, -90.0}) {
        for (const double v : {0.62, 0.38, 0.7, 0.3, 0.8, 0.2, 0.9, 0.1}) {
          for (const double u : {0.5, 0.3, 0.7, 0.2, 0.8}) {
            const FacePoint at{span().across_from + u * width,
                               span().along_from + (round() ? v : 1.0 - v) * height};
            if (word(text, part_from_here(at), {0, 0}, size, {}, turn, true)) return;
          }
        }
      }
    }
  }
  // On this part's own paper.
  bool inside(const TextMark& text) const {
    for (const Box& box : text_boxes(text)) {
      for (const Vec2 p :
           {box.min, box.max, Vec2{box.min.x, box.max.y}, Vec2{box.max.x, box.min.y}}) {
        if (!underdraw::inside(part_.outline, p)) return false;
      }
    }
    return true;
  }

  const PlacedFace& face_;
  const FaceTemplate& shape_;
  const TemplatePart& part_;
  std::size_t index_;
  std::vector<Mark> marks_;
  LabelRoom room_;
};

}  // namespace

std::vector<int> divisions_of(const PlacedFace& face) {
  std::vector<int> out;
  for (const FitReport& fit : face.reports) {
    const int n = fit.copies + fit.left_out;
    if (fit.rows == 1 && fit.style == name_of(Style::band) && n > 1 &&
        std::find(out.begin(), out.end(), n) == out.end()) {
      out.push_back(n);
    }
  }
  std::sort(out.begin(), out.end());
  if (out.empty()) out = {4, 8};
  return out;
}

bool has_division_marks(const PlacedFace& face, const FaceTemplate& shape) {
  for (const TemplatePart& part : shape.parts) {
    if (part.foot_edges.empty()) continue;
    for (const int n : divisions_of(face)) {
      for (const double along : {part.covers.along_from, part.covers.along_to}) {
        if (room_for_marks(part.surface, along, n)) return true;
      }
    }
  }
  return false;
}

PathMark outline_mark(const TemplatePart& part, double width_mm) {
  PathMark mark;
  for (const auto& ring : part.outline) mark.paths.push_back(Path::polyline(ring, true));
  mark.line_width_mm = width_mm;
  return mark;
}

std::vector<Mark> template_part_marks(const PlacedFace& face,
                                      const FaceTemplate& shape,
                                      std::size_t part) {
  return PartDrawer(face, shape, part).draw();
}

}  // namespace underdraw
