#include "sheet/draw_template.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"
#include "sheet/pack_rows.h"
#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/strain_picture.h"
#include "sheet/template_part.h"
#include "sheet/template_tiles.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kTextSize = 3.1;
constexpr double kTextRow = 4.8;
constexpr double kKeyHeight = 10.0;  // in the head line
constexpr double kKeyWidth = 26.0;
constexpr double kPartSpacing = 4.0;
constexpr double kLeastRoomMm = 30.0;
constexpr Grey kQuiet{0.35};
constexpr Grey kTrim{0.5};

// One true-size page: what lies on it and where the window of a tiled part is.
struct Sheet {
  std::string title;
  bool sideways = false;
  std::vector<Mark> marks;  // in the page's frame
  std::size_t part = 0;     // of tiled parts
  const Tile* tile = nullptr;
};

struct TiledPart {
  std::size_t part = 0;
  Tiling tiling;
  bool sideways = false;
};

class TemplatePages {
 public:
  TemplatePages(const std::string& piece,
                const PlacedFace& face,
                const FaceTemplate& shape,
                const TemplatePageOptions& options)
      : piece_(piece), face_(face), shape_(shape), options_(options) {
    for (const bool sideways : {false, true}) require_room(frame(sideways).work);
    const Box room = frame(false).work.grown(-0.2);
    std::vector<std::size_t> small;
    for (std::size_t i = 0; i < shape.parts.size(); ++i) {
      const TemplatePart& part = shape.parts[i];
      if (part.width_mm <= room.width() && part.height_mm <= room.height()) {
        small.push_back(i);
      } else {
        tiled_.push_back(tiled_part(i));
      }
    }
    pack(small);
    for (const TiledPart& part : tiled_) lay_out(part);
  }

  std::vector<Drawing> draw() const {
    std::vector<Drawing> pages;
    // A single sheet that simply lies flat says all by itself.
    if (!shape_.exact || sheets_.size() > 1) pages.push_back(overview());
    for (std::size_t i = 0; i < sheets_.size(); ++i) pages.push_back(page(i));
    return pages;
  }

 private:
  SheetFrame frame(bool sideways) const { return frame_of(sheet_options(sideways)); }
  SheetOptions sheet_options(bool sideways) const {
    SheetOptions sheet;
    sheet.paper = options_.paper;
    sheet.margin_mm = options_.margin_mm;
    sheet.printer = options_.printer;
    if (sideways) std::swap(sheet.paper.width_mm, sheet.paper.height_mm);
    return sheet;
  }

  // Pages much smaller would be all overlap.
  void require_room(const Box& work) const {
    if (std::min(work.width(), work.height()) >= kLeastRoomMm) return;
    throw GeometryError(
        {.file = {},
         .line = {},
         .found = fmt::format("paper of {:g} x {:g} mm leaves {:.0f} x {:.0f} mm for the template",
                              options_.paper.width_mm,
                              options_.paper.height_mm,
                              std::max(0.0, work.width()),
                              std::max(0.0, work.height())),
         .expected = fmt::format("at least {0:g} x {0:g} mm", kLeastRoomMm),
         .remedy = "choose larger paper"});
  }

  // The way of the paper that takes fewer pages.
  TiledPart tiled_part(std::size_t i) const {
    const TemplatePart& part = shape_.parts[i];
    TiledPart best;
    for (const bool sideways : {false, true}) {
      const Box work = frame(sideways).work;
      // A little larger than the part, so that the cut line's own width is on the paper.
      const Box box = Box{{0.0, 0.0}, {part.width_mm, part.height_mm}}.grown(0.4);
      Tiling tiling = tiled(box, part.outline, {work.width(), work.height()});
      if (!sideways || tiling.tiles.size() < best.tiling.tiles.size()) {
        best = {i, std::move(tiling), sideways};
      }
    }
    return best;
  }

  std::string part_title(std::size_t i) const {
    const std::string& name = shape_.parts[i].name;
    return name == face_.face.name ? name : fmt::format("{}, {}", face_.face.name, name);
  }

  void pack(const std::vector<std::size_t>& small) {
    if (small.empty()) return;
    std::vector<Box> boxes;
    for (const std::size_t i : small) {
      const TemplatePart& part = shape_.parts[i];
      boxes.push_back({{0.0, 0.0}, {part.width_mm, part.height_mm}});
    }
    const BoxPacking packing = pack_rows(boxes, frame(false).work.grown(-0.2), kPartSpacing);
    std::vector<Sheet> sheets(packing.sheets);
    for (std::size_t k = 0; k < small.size(); ++k) {
      Sheet& sheet = sheets[packing.spots[k].sheet];
      for (const Mark& mark : template_part_marks(face_, shape_, small[k])) {
        sheet.marks.push_back(moved(mark, Affine::translate(packing.spots[k].move)));
      }
      sheet.title = sheet.title.empty() ? part_title(small[k]) : face_.face.name;
    }
    for (Sheet& sheet : sheets) sheets_.push_back(std::move(sheet));
  }

  void lay_out(const TiledPart& tiled_part) {
    const Tiling& tiling = tiled_part.tiling;
    std::vector<Mark> marks = register_marks(tiling);
    for (Mark& mark : words_settled(template_part_marks(face_, shape_, tiled_part.part), tiling)) {
      marks.push_back(std::move(mark));
    }
    const Box work = frame(tiled_part.sideways).work;
    for (const Tile& tile : tiling.tiles) {
      const Affine page_from_part = Affine::translate(work.min - tile.window.min);
      Sheet sheet;
      sheet.title = fmt::format("{} · page {}", part_title(tiled_part.part), tile.name());
      sheet.sideways = tiled_part.sideways;
      sheet.part = tiled_part.part;
      sheet.tile = &tile;
      for (Mark& mark : trim_marks(tiling, tile)) {
        sheet.marks.push_back(moved(mark, page_from_part));
      }
      for (const Mark& mark : marks_inside(marks, tile.window)) {
        sheet.marks.push_back(moved(mark, page_from_part));
      }
      sheets_.push_back(std::move(sheet));
    }
  }

  // Where another page goes on: cut there, or lay the other page up to there.
  static std::vector<Mark> trim_marks(const Tiling& tiling, const Tile& tile) {
    PathMark mark;
    mark.line_width_mm = 0.12;
    mark.line = kTrim;
    const Box b = tile.window;
    const auto joins = [&](std::size_t row, std::size_t column) {
      return tiling.at(row, column) != nullptr;
    };
    if (joins(tile.row, tile.column + 1))
      mark.paths.push_back(line_between({b.max.x, b.min.y}, b.max));
    if (joins(tile.row, tile.column - 1))
      mark.paths.push_back(line_between(b.min, {b.min.x, b.max.y}));
    if (joins(tile.row + 1, tile.column))
      mark.paths.push_back(line_between({b.min.x, b.max.y}, b.max));
    if (joins(tile.row - 1, tile.column))
      mark.paths.push_back(line_between(b.min, {b.max.x, b.min.y}));
    if (mark.paths.empty()) return {};
    return {mark};
  }

  const TiledPart* tiled_of(std::size_t part) const {
    for (const TiledPart& t : tiled_) {
      if (t.part == part) return &t;
    }
    return nullptr;
  }

  // Which of the pages this is, as a little picture of them all.
  std::vector<Mark> key(const TiledPart& part, const Tile& here, Vec2 right_top) const {
    const Tiling& tiling = part.tiling;
    Box all;
    for (const Tile& tile : tiling.tiles) all.add(tile.window);
    const double scale = std::min(kKeyWidth / all.width(), kKeyHeight / all.height());
    const Affine page_from_part =
        Affine::translate(right_top - Vec2{all.max.x, all.min.y} * scale) * Affine::scale(scale);
    std::vector<Mark> out;
    PathMark cell;
    cell.line_width_mm = 0.0;
    cell.filled = true;
    cell.fill = {0.75};
    cell.paths = {rectangle(moved(here.window, page_from_part))};
    out.emplace_back(cell);
    PathMark grid;
    grid.line_width_mm = 0.1;
    grid.line = kTrim;
    for (const Tile& tile : tiling.tiles) {
      grid.paths.push_back(rectangle(moved(tile.window, page_from_part)));
    }
    out.emplace_back(std::move(grid));
    out.push_back(moved(outline_mark(shape_.parts[part.part], 0.2), page_from_part));
    return out;
  }

  Drawing page(std::size_t i) const {
    const Sheet& sheet = sheets_[i];
    const SheetOptions options = sheet_options(sheet.sideways);
    const SheetFrame on = frame_of(options);
    Drawing out{options.paper.width_mm, options.paper.height_mm, {}};
    SheetFrame head = on;
    const TiledPart* part = sheet.tile == nullptr ? nullptr : tiled_of(sheet.part);
    const bool with_key =
        part != nullptr && part->tiling.tiles.size() > 1 && on.printable.width() > 4.0 * kKeyWidth;
    if (with_key) {
      const Vec2 corner{on.printable.max.x - kTextInset, on.printable.min.y + 0.4};
      for (Mark& mark : key(*part, *sheet.tile, corner)) out.marks.push_back(std::move(mark));
      head.printable.max.x -= kKeyWidth + 4.0;
    }
    std::string detail =
        fmt::format("template at true size · page {} of {}", i + 1, sheets_.size());
    if (sheets_.size() == 1) detail = "template at true size · " + strain_words(shape_);
    if (options_.printer) detail += " · " + printer_words(*options_.printer);
    if (with_key) detail += " · grey lines: another page goes on";
    for (Mark& mark : head_marks(head, {piece_, sheet.title, "", detail})) {
      out.marks.push_back(std::move(mark));
    }
    for (Mark& mark : measure_marks(on)) out.marks.push_back(std::move(mark));
    out.marks.insert(out.marks.end(), sheet.marks.begin(), sheet.marks.end());
    return out;
  }

  std::vector<std::string> words() const {
    std::vector<std::string> out;
    const std::size_t count = shape_.parts.size();
    std::string kind = fmt::format("The template is {}", count == 1 ? "one piece" : shape_.reason);
    if (count == 1 && shape_.darts > 0) kind += fmt::format(": {}", shape_.reason);
    out.push_back(fmt::format("{}; {}.", kind, strain_words(shape_)));
    if (!shape_.exact) {
      out.push_back(
          fmt::format("Seams and cuts have to take up {:.1f} % of length; the limit is kept "
                      "against that.",
                      shape_.strain_percent));
    }
    std::vector<std::string> parts;
    for (const int n : divisions_of(face_)) parts.push_back(std::to_string(n));
    if (has_division_marks(face_, shape_)) {
      std::string list = parts.front();
      for (std::size_t i = 1; i < parts.size(); ++i) {
        list += (i + 1 == parts.size() ? " and " : ", ") + parts[i];
      }
      out.push_back(fmt::format("Short lines at the edges divide them into {} equal parts.", list));
    }
    out.push_back(
        "Each cross is the middle of a placement, its arrow points up, and its number is the one "
        "on "
        "the map.");
    const bool joined = std::any_of(
        tiled_.begin(), tiled_.end(), [](const TiledPart& t) { return t.tiling.tiles.size() > 1; });
    if (joined) {
      out.push_back(fmt::format(
          "Pages overlap by {:.0f} mm. Cut one of each two along its grey line, lay it over the "
          "other until the circles with the same letter lie on each other, and tape them together. "
          "The small picture at the top of a page shows which it is.",
          kTileOverlapMm));
    }
    return out;
  }

  Drawing overview() const {
    const SheetOptions options = sheet_options(false);
    const SheetFrame on = frame_of(options);
    Drawing out{options.paper.width_mm, options.paper.height_mm, {}};
    std::string detail = fmt::format("{} page{} at true size follow{}",
                                     sheets_.size(),
                                     sheets_.size() == 1 ? "" : "s",
                                     sheets_.size() == 1 ? "s" : "");
    if (options_.printer) detail += " · " + printer_words(*options_.printer);
    out.marks = head_marks(on, {piece_, fmt::format("{} · template", face_.face.name), "", detail});
    for (Mark& mark : measure_marks(on)) out.marks.push_back(std::move(mark));
    Box room = text_room(on);
    room.min.x = on.work.min.x;
    room.min.y = on.work.min.y + 4.0;
    room.max.y = on.work.max.y - 1.0;
    for (const std::string& paragraph : words()) {
      for (const std::string& line : broken_text(paragraph, room.width(), kTextSize)) {
        if (room.height() < kTextRow) return out;
        out.marks.emplace_back(
            TextMark{line, room.min + Vec2{0.0, 2.5}, kTextSize, Align::left, false, 0.0, {}});
        room.min.y += kTextRow;
      }
      room.min.y += 1.2;
    }
    room.min.y += 4.0;
    if (room.height() < 30.0) return out;
    const bool strain = !shape_.exact;
    Box upper = room;
    if (strain) upper.max.y = room.min.y + 0.48 * room.height();
    const double used = page_map(out, upper);
    if (!strain) return out;
    const double top = room.min.y + used + 9.0;
    const double half = (room.width() - 8.0) / 2.0;
    const Box left{{room.min.x, top}, {room.min.x + half, room.max.y}};
    const Box right{{room.max.x - half, top}, room.max};
    for (Mark& mark : strain_picture(shape_, StrainWay::across, left).marks) {
      out.marks.push_back(std::move(mark));
    }
    for (Mark& mark : strain_picture(shape_, StrainWay::along, right).marks) {
      out.marks.push_back(std::move(mark));
    }
    return out;
  }

  // All parts small, with the pages that they are on. Says how high it came out.
  double page_map(Drawing& out, const Box& box) const {
    // Windows reach over a part's edges.
    const double around = tiled_.empty() ? 0.0 : 0.06 * std::min(box.width(), box.height());
    PartsPicture picture = parts_picture(shape_, box.grown(-around));
    if (!tiled_.empty() && shape_.kind != TemplateKind::gores) {
      // Windows reach beyond the parts.
      picture = spread(box);
    }
    for (std::size_t k = 0; k < picture.parts.size(); ++k) {
      const std::size_t i = picture.parts[k];
      const Affine& page_from_part = picture.page_from_part[k];
      const TiledPart* part = tiled_of(i);
      if (part != nullptr) {
        PathMark grid;
        grid.line_width_mm = 0.12;
        grid.line = kTrim;
        for (const Tile& tile : part->tiling.tiles) {
          const Box window = moved(tile.window, page_from_part);
          grid.paths.push_back(rectangle(window));
          const double size = std::clamp(window.height() / 6.0, 1.8, 5.0);
          out.marks.emplace_back(TextMark{tile.name(),
                                          window.centre() + Vec2{0.0, 0.36 * size},
                                          size,
                                          Align::centre,
                                          true,
                                          0.0,
                                          {0.6}});
        }
        out.marks.emplace_back(std::move(grid));
      }
      out.marks.push_back(moved(outline_mark(shape_.parts[i], 0.3), page_from_part));
    }
    return picture.height_mm + 2.0 * around;
  }

  // Below each other with room for each one's windows.
  PartsPicture spread(const Box& box) const {
    PartsPicture out;
    double widest = 0.0, tall = 0.0;
    const auto extent = [&](std::size_t i) {
      Box all{{0.0, 0.0}, {shape_.parts[i].width_mm, shape_.parts[i].height_mm}};
      if (const TiledPart* part = tiled_of(i)) {
        for (const Tile& tile : part->tiling.tiles) all.add(tile.window);
      }
      return all;
    };
    for (std::size_t i = 0; i < shape_.parts.size(); ++i) {
      widest = std::max(widest, extent(i).width());
      tall += extent(i).height();
    }
    constexpr double kGap = 2.0;
    const double gaps = kGap * static_cast<double>(shape_.parts.size() - 1);
    out.scale = std::min({1.0, box.width() / widest, (box.height() - gaps) / tall});
    double y = box.min.y;
    for (std::size_t k = shape_.parts.size(); k-- > 0;) {
      const Box all = extent(k);
      out.parts.push_back(k);
      out.page_from_part.push_back(
          Affine::translate(Vec2{box.centre().x, y} - Vec2{all.centre().x, all.min.y} * out.scale) *
          Affine::scale(out.scale));
      y += all.height() * out.scale + kGap;
    }
    out.height_mm = y - kGap - box.min.y;
    return out;
  }

  const std::string& piece_;
  const PlacedFace& face_;
  const FaceTemplate& shape_;
  TemplatePageOptions options_;
  std::vector<TiledPart> tiled_;
  std::vector<Sheet> sheets_;
};

}  // namespace

void TemplatePageOptions::validate() const {
  require_between(paper.width_mm, 50.0, 2000.0, "paper width", "mm");
  require_between(paper.height_mm, 50.0, 2000.0, "paper height", "mm");
  require_between(margin_mm, kLeastMarginMm, kMostMarginMm, "paper margin", "mm");
  if (printer) printer->validate();
}

std::vector<Drawing> draw_template(const std::string& piece,
                                   const PlacedFace& face,
                                   const FaceTemplate& shape,
                                   const TemplatePageOptions& options) {
  options.validate();
  return TemplatePages(piece, face, shape, options).draw();
}

}  // namespace underdraw
