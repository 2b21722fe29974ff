#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "sheet/clip_lines.h"
#include "sheet/label_room.h"
#include "sheet/piece_view.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"
#include "sheet/zones.h"

namespace underdraw {
namespace {

constexpr int kColumns = 96;  // of the grid over the form
constexpr int kRows = 40;
constexpr int kGreySteps = 12;
constexpr double kDarkest = 0.875;  // of the form, where no light falls
constexpr double kDimLight = 0.05;  // Lambert's cosine at the first and last step
constexpr double kFullLight = 0.9;
constexpr double kNoLight = -2.0;
constexpr double kInsideGrey = 0.8;
constexpr double kEdgeMm = 0.32;
constexpr double kFarEdgeMm = 0.14;
constexpr double kThinnest = 0.09;
constexpr double kPatchNetMm = 10.0;
constexpr double kNumberSize = 1.9;
constexpr double kSmoothMm = 0.012;  // drawn lines stay this near to the seen ones
constexpr double kFlatPen = 0.3;     // share of the pen width that is left where it is seen edge-on
constexpr double kNumberFacing = 0.35;  // seen flatter than this a copy gets no number
constexpr double kZonePitchMm = 2.2;
constexpr Grey kNet{0.78};

class ViewDrawer {
 public:
  ViewDrawer(const PlacedFace& face,
             const std::vector<Motif>& motifs,
             const PieceView& view,
             double page_scale)
      : face_(face), motifs_(motifs), view_(view), scale_(page_scale), form_box_(view_box(view)) {
    form_box_ = {form_box_.min * page_scale, form_box_.max * page_scale};
    const Surface& surface = face.surface;
    if (surface.round()) {
      // The grid's own ends lie behind.
      const Vec3 eye = view.eye();
      const double middle =
          std::hypot(eye.x, eye.y) > 1e-6 ? degrees(std::atan2(eye.x, -eye.y)) : 0.0;
      across_from_ = middle - 180.0;
      across_to_ = middle + 180.0;
    } else {
      across_to_ = surface.widest_mm();
    }
  }

  std::vector<Mark> draw() {
    const bool open = opening();
    if (open) inside();
    if (face_.surface.outline().empty()) shade();
    if (std::holds_alternative<PatchFace>(face_.face.form)) net();
    zones();
    seam();
    for (const Placement& placement : face_.placements) copy(placement);
    silhouette();
    edges(open);
    for (const Placement& placement : face_.placements) number(placement);
    return std::move(marks_);
  }

 private:
  Vec2 page(FacePoint point) const { return view_.seen_at(point) * scale_; }

  // A wall that one looks into from above.
  bool opening() const {
    const FaceForm& form = face_.face.form;
    return face_.surface.round() && !std::holds_alternative<RingFace>(form) &&
           !std::holds_alternative<BallFace>(form);
  }

  void inside() {
    const Surface& surface = face_.surface;
    if (view_.eye().z <= surface.in_space({0.0, surface.along_mm()}).z) return;
    PathMark fill;
    fill.paths = {Path::polyline(page_of(level(surface.along_mm())), true)};
    fill.line_width_mm = 0.0;
    fill.filled = true;
    fill.fill = {kInsideGrey};
    marks_.emplace_back(std::move(fill));
  }

  std::vector<FacePoint> line(FacePoint from, FacePoint to, double step_mm) const {
    const Surface& surface = face_.surface;
    const double middle = (from.along + to.along) / 2.0;
    const double way = std::hypot((to.across - from.across) * surface.mm_per_across(middle),
                                  to.along - from.along);
    const int n = std::clamp(static_cast<int>(std::ceil(way / step_mm)), 1, 2000);
    std::vector<FacePoint> out;
    for (int i = 0; i <= n; ++i) {
      const double t = i * 1.0 / n;
      out.push_back({std::lerp(from.across, to.across, t), std::lerp(from.along, to.along, t)});
    }
    return out;
  }
  double fine_mm() const { return std::max(0.3, 0.5 / scale_); }
  std::vector<FacePoint> level(double along) const {
    return line({across_from_, along}, {across_to_, along}, 1.5 * fine_mm());
  }
  std::vector<Vec2> page_of(const std::vector<FacePoint>& points) const {
    std::vector<Vec2> out;
    for (const FacePoint p : points) out.push_back(page(p));
    return out;
  }
  std::vector<double> clear_of(const std::vector<FacePoint>& points) const {
    std::vector<double> out;
    for (const FacePoint p : points) out.push_back(view_.clear(p));
    return out;
  }

  // Lines on the surface, where they are seen.
  std::vector<Path> seen(const std::vector<FacePoint>& points) const {
    std::vector<Path> out;
    for (const auto& piece : pieces_inside(page_of(points), clear_of(points))) {
      if (piece.size() > 1) out.push_back(Path::polyline(simpler_line(piece, kSmoothMm)));
    }
    return out;
  }
  void put(std::vector<Path> paths, double width_mm, Grey grey, std::vector<double> dashes = {}) {
    if (paths.empty()) return;
    PathMark mark;
    mark.paths = std::move(paths);
    mark.line_width_mm = width_mm;
    if (width_mm >= kEdgeMm) room_.add(mark);
    mark.line = grey;
    mark.dashes_mm = std::move(dashes);
    marks_.emplace_back(std::move(mark));
  }

  struct Node {
    FacePoint at;
    double clear = 0.0;
    double light = 0.0;
    Vec2 page;
  };
  std::vector<Node> grid() const {
    const Surface& surface = face_.surface;
    const Vec3 lamp = view_.towards_eye(-0.5, 0.5, 0.72);
    std::vector<Node> out;
    for (int j = 0; j <= kRows; ++j) {
      for (int i = 0; i <= kColumns; ++i) {
        const FacePoint at{std::lerp(across_from_, across_to_, i * 1.0 / kColumns),
                           surface.along_mm() * j / kRows};
        out.push_back({at, view_.clear(at), dot(surface.outward(at), lamp), page(at)});
      }
    }
    return out;
  }

  // Each step lies on the one before, so that no gap shows between them.
  void shade() {
    const std::vector<Node> nodes = grid();
    for (int k = 0; k < kGreySteps; ++k) {
      const double share = k / (kGreySteps - 1.0);
      const double least = std::lerp(kDimLight, kFullLight, share);
      PathMark mark;
      mark.line_width_mm = 0.0;
      mark.filled = true;
      mark.fill = {std::lerp(kDarkest, 1.0, share)};
      for (int j = 0; j < kRows; ++j) shade_row(nodes, j, k == 0 ? kNoLight : least, mark.paths);
      if (!mark.paths.empty()) marks_.emplace_back(std::move(mark));
    }
  }
  void shade_row(const std::vector<Node>& nodes,
                 int row,
                 double least_light,
                 std::vector<Path>& paths) const {
    const auto node = [&](int i, int j) -> const Node& {
      return nodes[static_cast<std::size_t>(j * (kColumns + 1) + i)];
    };
    const auto field = [&](const Node& n) {
      return std::min(2.0 * n.clear, n.light - least_light);
    };
    std::vector<Vec2> low, high;  // of whole cells side by side
    const auto end_run = [&] {
      if (low.empty()) return;
      std::vector<Vec2> ring = simpler_line(low, kSmoothMm);
      const std::vector<Vec2> upper = simpler_line(high, kSmoothMm);
      ring.insert(ring.end(), upper.rbegin(), upper.rend());
      paths.push_back(Path::polyline(ring, true));
      low.clear();
      high.clear();
    };
    for (int i = 0; i < kColumns; ++i) {
      const Node* corners[4] = {
          &node(i, row), &node(i + 1, row), &node(i + 1, row + 1), &node(i, row + 1)};
      std::vector<Vec2> ring;
      std::vector<double> inside;
      int in = 0;
      for (const Node* n : corners) {
        ring.push_back(n->page);
        inside.push_back(field(*n));
        in += inside.back() > 0.0 ? 1 : 0;
      }
      if (in == 4) {
        if (low.empty()) {
          low.push_back(ring[0]);
          high.push_back(ring[3]);
        }
        low.push_back(ring[1]);
        high.push_back(ring[2]);
        continue;
      }
      end_run();
      if (in == 0) continue;
      const std::vector<Vec2> part = ring_inside(ring, inside);
      if (part.size() > 2) paths.push_back(Path::polyline(part, true));
    }
    end_run();
  }

  void net() {
    const Surface& surface = face_.surface;
    std::vector<Path> paths;
    const auto add = [&](FacePoint from, FacePoint to) {
      for (Path& path : seen(line(from, to, 2.0))) paths.push_back(std::move(path));
    };
    for (double x = kPatchNetMm; x < surface.widest_mm(); x += kPatchNetMm) {
      add({x, 0.0}, {x, surface.along_mm()});
    }
    for (double y = kPatchNetMm; y < surface.along_mm(); y += kPatchNetMm) {
      add({0.0, y}, {surface.widest_mm(), y});
    }
    put(std::move(paths), 0.1, kNet);
  }

  void zones() {
    for (const ZonePiece& zone : zone_pieces(face_)) {
      std::vector<Path> hatch, frame;
      const double per_across = face_.surface.mm_per_across(zone.middle().along);
      for (const FaceLine& h : hatching(face_.surface, zone, kZonePitchMm / scale_, per_across)) {
        for (Path& path : seen(line(h.from, h.to, fine_mm()))) hatch.push_back(std::move(path));
      }
      const FacePoint corners[4] = {{zone.across_from, zone.along_from},
                                    {zone.across_to, zone.along_from},
                                    {zone.across_to, zone.along_to},
                                    {zone.across_from, zone.along_to}};
      for (int i = 0; i < 4; ++i) {
        for (Path& path : seen(line(corners[i], corners[(i + 1) % 4], fine_mm()))) {
          frame.push_back(std::move(path));
        }
      }
      put(std::move(hatch), 0.1, {0.62});
      put(std::move(frame), 0.18, {0.45});
    }
  }

  void seam() {
    const Surface& surface = face_.surface;
    if (!surface.round()) return;
    put(seen(line({0.0, 0.0}, {0.0, surface.along_mm()}, fine_mm())), 0.16, {0.5}, {1.4, 1.0});
    const double tick = std::min(2.5 / scale_, surface.along_mm() / 8.0);
    put(seen(line({0.0, 0.0}, {0.0, tick}, fine_mm())), 0.5, {});
  }

  std::vector<FacePoint> on_face(FacePoint at, const std::vector<Vec2>& copy) const {
    std::vector<FacePoint> out;
    for (const Vec2 p : copy) out.push_back(face_.surface.laid(at, p));
    return out;
  }

  void copy(const Placement& placement) {
    const Motif& motif = motif_named(motifs_, placement.motif);
    const Linework lines = transformed(motif.lines, placement.copy_from_motif(motif));
    // A copy wholly behind takes no time.
    const double reach = length(Vec2{lines.ink_box().width(), lines.ink_box().height()}) / 2.0;
    bool any = false;
    for (int i = 0; i < 8 && !any; ++i) {
      const Vec2 p = Affine::turn_deg(45.0 * i) * Vec2{reach, 0.0};
      any = view_.facing(face_.surface.laid(placement.at, p)) > 0.0;
    }
    if (!any) return;
    const double pen = scale_ * view_.scale_at(placement.at);
    for (const Area& area : lines.areas) {
      PathMark mark;
      mark.line_width_mm = 0.0;
      mark.filled = true;
      for (const Path& ring : area.rings) {
        const std::vector<FacePoint> points = on_face(placement.at, sample(ring, fine_mm()));
        const std::vector<Vec2> part = ring_inside(page_of(points), clear_of(points));
        if (part.size() > 2) mark.paths.push_back(Path::polyline(part, true));
      }
      if (!mark.paths.empty()) marks_.emplace_back(std::move(mark));
    }
    for (const Stroke& stroke : lines.strokes) {
      const double width = std::max(kThinnest, stroke.width_mm * pen);
      std::vector<Vec2> points = sample(stroke.path, fine_mm());
      if (stroke.path.is_dot()) {
        const FacePoint spot = face_.surface.laid(placement.at, points.front());
        if (view_.visible(spot)) put({Path{{page(spot)}, false}}, width, {});
        continue;
      }
      const std::vector<FacePoint> on = on_face(placement.at, points);
      // Lines get thinner where the surface turns away, most of them as much as it does.
      const double turned = std::max(0.0, view_.facing(on[on.size() / 2]));
      std::vector<Path> paths = seen(on);
      for (const Path& path : paths) room_.add_line(flatten(path, 0.1), width);
      put(std::move(paths), std::max(kThinnest, width * std::lerp(kFlatPen, 1.0, turned)), {});
    }
  }

  // Where the surface is seen edge-on, from cell to cell of the grid.
  void silhouette() {
    const Surface& surface = face_.surface;
    const auto at = [&](int i, int j) {
      return FacePoint{std::lerp(across_from_, across_to_, i * 1.0 / kColumns),
                       surface.along_mm() * j / kRows};
    };
    const auto crossing = [&](FacePoint a, FacePoint b) {
      const bool positive = view_.facing(a) > 0.0;
      double low = 0.0, high = 1.0;
      const auto between = [&](double t) {
        return FacePoint{std::lerp(a.across, b.across, t), std::lerp(a.along, b.along, t)};
      };
      for (int k = 0; k < 24; ++k) {
        const double middle = (low + high) / 2.0;
        ((view_.facing(between(middle)) > 0.0) == positive ? low : high) = middle;
      }
      return between(low);
    };
    std::vector<std::vector<double>> facing(kRows + 1);
    for (int j = 0; j <= kRows; ++j) {
      for (int i = 0; i <= kColumns; ++i) {
        facing[static_cast<std::size_t>(j)].push_back(view_.facing(at(i, j)));
      }
    }
    std::vector<Path> paths;
    for (int j = 0; j < kRows; ++j) {
      for (int i = 0; i < kColumns; ++i) {
        const int corner[4][2] = {{i, j}, {i + 1, j}, {i + 1, j + 1}, {i, j + 1}};
        std::vector<FacePoint> ends;
        for (int k = 0; k < 4; ++k) {
          const auto& a = corner[k];
          const auto& b = corner[(k + 1) % 4];
          const auto value = [&](const int(&c)[2]) {
            return facing[static_cast<std::size_t>(c[1])][static_cast<std::size_t>(c[0])] > 0.0;
          };
          if (value(a) != value(b)) ends.push_back(crossing(at(a[0], a[1]), at(b[0], b[1])));
        }
        for (std::size_t k = 0; k + 1 < ends.size(); k += 2) {
          if (view_.blocked(ends[k]) || view_.blocked(ends[k + 1])) continue;
          paths.push_back(line_between(page(ends[k]), page(ends[k + 1])));
        }
      }
    }
    put(std::move(paths), kEdgeMm, {});
  }

  void edges(bool open) {
    const Surface& surface = face_.surface;
    if (!surface.outline().empty()) {
      for (const auto& ring : surface.outline()) {
        std::vector<Vec2> points;
        for (const Vec2 p : ring) points.push_back(page({p.x, p.y}));
        put({Path::polyline(points, true)}, kEdgeMm, {});
      }
      return;
    }
    const double top = surface.along_mm();
    const std::vector<FacePoint> rim = level(top);
    put(seen(level(0.0)), kEdgeMm, {});
    put(seen(rim), kEdgeMm, {});
    if (!surface.round()) {
      for (const double across : {0.0, surface.widest_mm()}) {
        put(seen(line({across, 0.0}, {across, top}, fine_mm())), kEdgeMm, {});
      }
    }
    if (!open || view_.eye().z <= surface.in_space(rim.front()).z) return;
    // The far half of the rim, seen over the near one.
    std::vector<double> away = clear_of(rim);
    for (double& value : away) value = -value;
    std::vector<Path> far;
    for (const auto& piece : pieces_inside(page_of(rim), away)) {
      if (piece.size() > 1) far.push_back(Path::polyline(simpler_line(piece, kSmoothMm)));
    }
    put(std::move(far), kFarEdgeMm, {0.3});
  }

  // Below the copy or beside it; on a white spot in its middle if all is full.
  void number(const Placement& placement) {
    if (view_.clear(placement.at) < kNumberFacing) return;
    const Motif& motif = motif_named(motifs_, placement.motif);
    Box ink;
    for (const auto& stroke : transformed(motif.lines, placement.copy_from_motif(motif)).strokes) {
      for (const Vec2 p : stroke.path.points) ink.add(page(face_.surface.laid(placement.at, p)));
    }
    const Vec2 middle = page(placement.at);
    if (ink.empty()) ink.add(middle);
    TextMark text{std::to_string(placement.id), {}, kNumberSize, Align::centre, false, 0.0, {0.2}};
    const double h = kNumberSize * kCapHeight;
    const Vec2 half{text_width_mm(text) / 2.0, h / 2.0};
    const double off = 0.8 + h / 2.0;
    const std::array<Vec2, 6> centres = {{{middle.x, ink.max.y + off},
                                          {middle.x, ink.min.y - off},
                                          {ink.max.x - half.x, ink.max.y - half.y},
                                          {ink.min.x + half.x, ink.max.y - half.y},
                                          {ink.max.x - half.x, ink.min.y + half.y},
                                          middle}};
    Vec2 at = centres.back();
    for (const Vec2 centre : centres) {
      const Box label = Box{centre - half, centre + half}.grown(0.25);
      if (!form_box_.contains(label) || !room_.free(label)) continue;
      at = centre;
      break;
    }
    const Box label{at - half, at + half};
    if (at == middle) {
      PathMark spot;
      spot.line_width_mm = 0.0;
      spot.filled = true;
      spot.fill = {1.0};
      spot.paths = {rounded_rectangle(label.grown(0.3), 0.7)};
      marks_.emplace_back(std::move(spot));
    }
    room_.add(label);
    text.at = at + Vec2{0.0, h / 2.0};
    marks_.emplace_back(std::move(text));
  }

  const PlacedFace& face_;
  const std::vector<Motif>& motifs_;
  const PieceView& view_;
  double scale_;
  Box form_box_;  // of the form alone, as drawn
  double across_from_ = 0.0, across_to_ = 0.0;
  std::vector<Mark> marks_;
  LabelRoom room_;
};

}  // namespace

std::vector<Mark> draw_view(const PlacedFace& face,
                            const std::vector<Motif>& motifs,
                            const PieceView& view,
                            double page_scale) {
  return ViewDrawer(face, motifs, view, page_scale).draw();
}

}  // namespace underdraw
