#include "sheet/draw_views.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kGutter = 7.0;   // between views
constexpr double kCaption = 7.5;  // below each
constexpr double kRowGap = 3.0;   // at least
constexpr double kCaptionSize = 2.9;
constexpr double kHead = 15.0;
constexpr Grey kQuiet{0.35};

struct View {
  const PlacedFace* face;
  PieceView view;
  std::string caption;
  Box box;  // at full scale
};

struct Layout {
  std::size_t columns = 1;
  double scale = 0.0;
  bool sideways = false;
};

// Views in rows, all at one scale, on whichever way the paper lies best.
class ViewPage {
 public:
  ViewPage(std::vector<View> views, const MapOptions& options)
      : views_(std::move(views)), options_(options) {
    for (const bool sideways : {false, true}) {
      for (std::size_t columns = 1; columns <= views_.size(); ++columns) {
        const double scale = scale_for(columns, room_of(sideways));
        if (scale > layout_.scale + 1e-9) layout_ = {columns, scale, sideways};
      }
    }
  }

  Drawing draw(const std::string& piece,
               const std::string& title,
               const std::string& detail,
               const std::vector<Motif>& motifs) const {
    const MapOptions sheet{paper(layout_.sideways), options_.margin_mm};
    const SheetFrame frame = frame_of(sheet);
    Drawing page{sheet.paper.width_mm, sheet.paper.height_mm, {}};
    page.marks = head_marks(frame, {piece, title, "", detail});
    const Vec2 room = room_of(layout_.sideways);
    const Vec2 corner = text_room(frame).min + Vec2{0.0, kHead};
    const double wide = column_width(layout_.columns, room);
    const std::vector<double> tall = row_heights(layout_.columns);
    double used = 0.0;
    for (const double row : tall) used += row * layout_.scale + kCaption;
    const double rows = static_cast<double>(tall.size());
    // What is left over goes between the rows and above and below them.
    const double gap = std::max(0.0, (room.y - used) / (rows + 1.0));
    double top = corner.y + gap;
    for (std::size_t row = 0; row < tall.size(); ++row) {
      const std::size_t first = row * layout_.columns;
      // A row that is not full stands in the middle.
      const std::size_t in_row = std::min(layout_.columns, views_.size() - first);
      const double indent = static_cast<double>(layout_.columns - in_row) * (wide + kGutter) / 2.0;
      const double height = tall[row] * layout_.scale;
      for (std::size_t i = 0; i < in_row; ++i) {
        const double x = corner.x + indent + static_cast<double>(i) * (wide + kGutter) + wide / 2.0;
        add(page, views_[first + i], {x, top + height / 2.0}, height, wide, motifs);
      }
      top += height + kCaption + gap;
    }
    return page;
  }

 private:
  PaperSize paper(bool sideways) const {
    PaperSize size = options_.paper;
    if (sideways) std::swap(size.width_mm, size.height_mm);
    return size;
  }
  Vec2 room_of(bool sideways) const {
    const PaperSize size = paper(sideways);
    const double margin = 2.0 * options_.margin_mm;
    return {size.width_mm - margin - 2.0 * kTextInset, size.height_mm - margin - kHead};
  }
  double column_width(std::size_t columns, Vec2 room) const {
    const double n = static_cast<double>(columns);
    return std::max(1.0, (room.x - kGutter * (n - 1.0)) / n);
  }
  // At full scale.
  std::vector<double> row_heights(std::size_t columns) const {
    std::vector<double> out;
    for (std::size_t i = 0; i < views_.size(); ++i) {
      if (i % columns == 0) out.push_back(0.0);
      out.back() = std::max(out.back(), views_[i].box.height());
    }
    return out;
  }
  double scale_for(std::size_t columns, Vec2 room) const {
    double widest = 0.0, tall = 0.0;
    for (const View& v : views_) widest = std::max(widest, v.box.width());
    const std::vector<double> rows = row_heights(columns);
    for (const double row : rows) tall += row;
    const double spare = (kCaption + kRowGap) * static_cast<double>(rows.size());
    return std::min({1.0,
                     column_width(columns, room) / widest,
                     std::max(1.0, room.y - spare) / std::max(tall, 1e-6)});
  }

  void add(Drawing& page,
           const View& view,
           Vec2 middle,
           double row_height,
           double width,
           const std::vector<Motif>& motifs) const {
    const Affine page_from_view = Affine::translate(middle - view.box.centre() * layout_.scale);
    for (const Mark& mark : draw_view(*view.face, motifs, view.view, layout_.scale)) {
      page.marks.push_back(moved(mark, page_from_view));
    }
    page.marks.emplace_back(TextMark{fitted_text(view.caption, width, kCaptionSize, false),
                                     {middle.x, middle.y + row_height / 2.0 + 5.5},
                                     kCaptionSize,
                                     Align::centre,
                                     false,
                                     0.0,
                                     kQuiet});
  }

  std::vector<View> views_;
  MapOptions options_;
  Layout layout_;
};

View view_of(const PlacedFace& face,
             const std::vector<Motif>& motifs,
             const ViewPoint& from,
             std::string caption) {
  PieceView view(face.surface, from);
  Box box = view_box(view);
  if (!face.surface.round()) {
    // Copies may reach over the edges.
    for (const Placement& p : face.placements) {
      const Motif& motif = motif_named(motifs, p.motif);
      const Box ink = transformed(motif.lines, p.copy_from_motif(motif)).ink_box();
      for (const Vec2 corner :
           {ink.min, ink.max, Vec2{ink.min.x, ink.max.y}, Vec2{ink.max.x, ink.min.y}}) {
        const FacePoint point = face.surface.laid(p.at, corner);
        if (view.visible(point)) box.add(view.seen_at(point));
      }
    }
  }
  return {&face, std::move(view), std::move(caption), box};
}

}  // namespace

std::vector<Drawing> draw_views(const std::string& piece,
                                const std::vector<PlacedFace>& faces,
                                const std::vector<Motif>& motifs,
                                const MapOptions& options) {
  options.validate();
  constexpr const char* kDetail = "a picture, not to measure from";
  std::vector<Drawing> pages;
  std::vector<View> flat;
  for (const PlacedFace& face : faces) {
    if (face.placements.empty()) continue;
    const std::vector<ViewPoint> points = view_points(face.face.form);
    if (points.size() == 1) {
      flat.push_back(view_of(face, motifs, points.front(), face.face.name));
      continue;
    }
    std::vector<View> views;
    for (const ViewPoint& from : points) views.push_back(view_of(face, motifs, from, from.caption));
    pages.push_back(
        ViewPage(std::move(views), options)
            .draw(piece, fmt::format("{} · all round", face.face.name), kDetail, motifs));
  }
  if (!flat.empty()) {
    const std::string title = flat.size() == 1 ? flat.front().caption : "flat faces";
    pages.push_back(ViewPage(std::move(flat), options).draw(piece, title, kDetail, motifs));
  }
  return pages;
}

}  // namespace underdraw
