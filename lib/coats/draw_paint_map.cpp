#include "coats/draw_paint_map.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "coats/area_name.h"
#include "sheet/face_map.h"
#include "sheet/map_notes.h"
#include "sheet/page_frame.h"
#include "sheet/shapes.h"
#include "sheet/text_flow.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kSwatch = 4.0;
constexpr double kRow = 4.6;
constexpr double kBelowHead = 15.0;
constexpr double kCellGap = 6.0;
constexpr double kCaption = 11.0;       // below a motif
constexpr double kLargestMotif = 95.0;  // mm: drawn larger than that, a motif only fills the page
constexpr double kMostScale = 2.0;
constexpr double kLeastLetter = 1.7;  // how wide an area is on the page to be lettered
constexpr double kThinnest = 0.2;
constexpr double kSizeColumn = 31.0;
constexpr int kLeastRows = 12;
constexpr Grey kQuiet{0.3};

TextMark words(const std::string& text,
               Vec2 at,
               double size = kTextSize,
               bool bold = false,
               Align align = Align::left) {
  return {text, at, size, align, bold, 0.0, {}};
}

PathMark filled(std::vector<Path> paths, Grey grey, double outline_mm) {
  PathMark mark;
  mark.paths = std::move(paths);
  mark.line_width_mm = outline_mm;
  mark.filled = true;
  mark.fill = grey;
  return mark;
}

PathMark swatch(Vec2 top_left, std::optional<std::size_t> colour) {
  return filled(
      {rectangle({top_left, top_left + Vec2{kSwatch, kSwatch * 0.75}})}, tint_of(colour), 0.15);
}

// Letters on a white spot, so that they can be read on any grey.
void put_letter(std::vector<Mark>& marks, const std::string& letter, Vec2 at, double size) {
  const double wide = text_width_mm(letter, size, true);
  const Vec2 half{wide / 2.0 + 0.45, size * 0.5};
  marks.emplace_back(filled({rounded_rectangle({at - half, at + half}, size * 0.3)}, {1.0}, 0.0));
  marks.emplace_back(words(letter, at + Vec2{0.0, size * 0.28}, size, true, Align::centre));
}

Drawing blank(const PaperSize& paper) { return {paper.width_mm, paper.height_mm, {}}; }

void add(Drawing& page, std::vector<Mark> marks) {
  for (Mark& mark : marks) page.marks.push_back(std::move(mark));
}

// A motif in its cell: areas in their greys, lines, letters, leaks; below it what each area takes.
class MotifCell {
 public:
  MotifCell(const PaintMap& map, const LetteredMotif& lettered, const Motif& motif)
      : map_(map), lettered_(lettered), motif_(motif), face_(face_with(map, motif.name)) {}

  std::vector<Mark> draw(const Box& cell) const {
    std::vector<Mark> marks;
    const double room_y = cell.height() - kCaption;
    const double scale = std::min({kMostScale,
                                   cell.width() / motif_.width_mm,
                                   room_y / motif_.height_mm,
                                   kLargestMotif / std::max(motif_.width_mm, motif_.height_mm)});
    const Vec2 top_left{cell.centre().x - scale * motif_.width_mm / 2.0,
                        cell.min.y + room_y - scale * motif_.height_mm};
    const Affine page_from_motif = Affine::translate(top_left) * Affine::scale(scale);
    const std::vector<ClosedArea>& areas = lettered_.found.areas;
    for (std::size_t i = 0; i < areas.size(); ++i) {
      std::vector<Path> rings;
      for (const Ring& ring : areas[i].rings) {
        rings.push_back(transformed(Path::polyline(ring, true), page_from_motif));
      }
      marks.emplace_back(filled(std::move(rings), tint_of(colour(i)), 0.0));
    }
    for (PathMark& mark : linework_marks(transformed(motif_.lines, page_from_motif), kThinnest)) {
      marks.emplace_back(std::move(mark));
    }
    for (std::size_t i = 0; i < areas.size(); ++i) {
      const double wide = areas[i].label_mm * scale;
      if (wide < kLeastLetter) continue;
      const double size = std::clamp(wide * 0.6, 1.5, 3.2);
      put_letter(marks, area_letter(i), page_from_motif * areas[i].label_at, size);
    }
    for (const Leak& leak : lettered_.found.leaks) {
      const Vec2 at = page_from_motif * leak.at;
      PathMark ring;
      ring.paths = {circle(at, std::max(2.0, leak.open_mm * scale))};
      ring.line_width_mm = 0.5;
      ring.dashes_mm = {1.0, 0.7};
      marks.emplace_back(std::move(ring));
    }
    const double y = cell.max.y - kCaption;
    marks.emplace_back(words(fitted_text(motif_.name, cell.width(), kHeadSize, true),
                             {cell.centre().x, y + 5.0},
                             kHeadSize,
                             true,
                             Align::centre));
    marks.emplace_back(words(fitted_text(sizes(), cell.width(), 2.5, false),
                             {cell.centre().x, y + 9.0},
                             2.5,
                             false,
                             Align::centre));
    return marks;
  }

 private:
  std::optional<std::size_t> colour(std::size_t area) const {
    return colour_of(map_.colours, face_, motif_.name, area_letter(area));
  }

  // The first on which the motif stands: what no colour names takes that of its ground.
  static std::string face_with(const PaintMap& map, const std::string& motif) {
    for (const PaintedFace& face : map.faces) {
      for (const PaintArea& painted : face.areas) {
        if (painted.motif == motif) return face.name;
      }
    }
    return "";
  }

  std::string sizes() const {
    const std::size_t count = lettered_.found.areas.size();
    const std::size_t leaks = lettered_.found.leaks.size();
    if (count == 0 && leaks == 0) return "lines only, on the ground's colour";
    std::string text = count == 0   ? "no closed area"
                       : count == 1 ? "1 area"
                                    : fmt::format("{} areas", count);
    if (leaks > 0) text += fmt::format(", {} open where the ring of dashes is", leaks);
    return text;
  }

  const PaintMap& map_;
  const LetteredMotif& lettered_;
  const Motif& motif_;
  std::string face_;
};

// All motifs, in a grid of cells of one size.
std::vector<Drawing> motif_pages(const std::string& piece,
                                 const PaintMap& map,
                                 const std::vector<Motif>& motifs,
                                 const MapOptions& options) {
  const SheetFrame frame = frame_of(options);
  Box room = text_room(frame);
  room.min.y += kBelowHead;
  const std::size_t count = map.motifs.size();
  const auto columns = static_cast<std::size_t>(room.width() < 160.0 ? 1 : count > 8 ? 3 : 2);
  const std::size_t rows = std::clamp<std::size_t>((count + columns - 1) / columns, 2, 4);
  const Vec2 cell{
      (room.width() - kCellGap * static_cast<double>(columns - 1)) / static_cast<double>(columns),
      (room.height() - kCellGap * static_cast<double>(rows - 1)) / static_cast<double>(rows)};
  std::vector<Drawing> pages;
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t on_page = i % (columns * rows);
    if (on_page == 0) {
      pages.push_back(blank(options.paper));
      add(pages.back(),
          head_marks(frame,
                     {piece,
                      "areas of the motifs",
                      "",
                      "an area is named by its motif and letter, as in \"on\" of a [[colour]]"}));
    }
    const Vec2 at = room.min + Vec2{static_cast<double>(on_page % columns) * (cell.x + kCellGap),
                                    static_cast<double>(on_page / columns) * (cell.y + kCellGap)};
    add(pages.back(),
        MotifCell(map, map.motifs[i], motif_named(motifs, map.motifs[i].name))
            .draw({at, at + cell}));
  }
  return pages;
}

std::vector<FaceTint> tints_of(const PaintedFace& face) {
  std::vector<FaceTint> tints;
  for (const PaintArea& area : face.areas) tints.push_back({area.on_face, tint_of(area.colour)});
  return tints;
}

// A row for each colour of the face: grey, name, size.
struct LegendRow {
  std::optional<std::size_t> colour;
  double size_cm2 = 0.0;
  std::size_t drawings = 0;
  bool ground = false;
};

std::vector<LegendRow> legend_of(const PaintedFace& face) {
  std::vector<LegendRow> rows;
  for (const PaintPart& part : parts_of(face)) {
    auto at = std::find_if(
        rows.begin(), rows.end(), [&](const LegendRow& row) { return row.colour == part.colour; });
    if (at == rows.end()) at = rows.insert(rows.end(), {part.colour, 0.0, 0, false});
    at->size_cm2 += part.size_cm2;
    if (part.placement == 0) {
      at->ground = true;
    } else {
      ++at->drawings;
    }
  }
  return rows;
}

std::string legend_words(const PaintMap& map, const LegendRow& row) {
  std::string parts = row.ground ? "the ground" : "";
  if (row.drawings > 0) {
    parts += fmt::format("{}{} drawing{}",
                         parts.empty() ? "in " : " and in ",
                         row.drawings,
                         row.drawings == 1 ? "" : "s");
  }
  std::string coats;
  if (row.colour) {
    const Colour& colour = map.colours[*row.colour];
    coats = colour.kind == ColourKind::wash
                ? ", a wash"
                : fmt::format(", {} coat{}", colour.coats, colour.coats == 1 ? "" : "s");
  }
  return fmt::format(
      "{}{} · {} · {:.1f} cm²", colour_words(map, row.colour), coats, parts, row.size_cm2);
}

struct MapPage {
  Drawing page;
  double scale = 1.0;
};

MapPage face_page(const std::string& piece,
                  const PaintMap& map,
                  const PaintedFace& painted,
                  const PlacedFace& face,
                  const std::vector<Motif>& motifs,
                  const MapOptions& options) {
  const SheetFrame frame = frame_of(options);
  Drawing page = blank(options.paper);
  Box room = text_room(frame);
  room.min.y = frame.work.min.y + 1.0;
  const std::vector<LegendRow> legend = legend_of(painted);
  const double legend_height = kRow * static_cast<double>(legend.size() + 1) + 3.0;
  Box map_room = room;
  map_room.max.y -= legend_height;
  map_room.max.y -= draw_notes(face_map(face, motifs, room).notes, room).height_mm + 2.0;
  const FaceMap drawn = face_map(face, motifs, map_room, tints_of(painted));
  add(page,
      head_marks(frame,
                 {piece,
                  fmt::format("{} · paint map", painted.name),
                  "",
                  fmt::format("{} · numbers as on the cut-outs, letters on the page before",
                              scale_words(drawn.scale))}));
  add(page, drawn.marks);
  double y = room.min.y + drawn.height_mm + 2.0;
  const DrawnNotes notes = draw_notes(drawn.notes, {{room.min.x, y}, room.max});
  add(page, notes.marks);
  y += notes.height_mm + 3.0;
  for (const LegendRow& row : legend) {
    page.marks.emplace_back(swatch({room.min.x, y}, row.colour));
    page.marks.emplace_back(
        words(fitted_text(legend_words(map, row), room.width() - kSwatch - 2.0, kTextSize, false),
              {room.min.x + kSwatch + 2.0, y + 2.6}));
    y += kRow;
  }
  TextMark whole = words(
      fmt::format("All of the face: {:.1f} cm²{}",
                  painted.size_cm2,
                  painted.kept_free_cm2 > 0.0
                      ? fmt::format(", of which {:.1f} cm² are kept free", painted.kept_free_cm2)
                      : ""),
      {room.min.x, y + 2.6});
  whole.colour = kQuiet;
  page.marks.emplace_back(std::move(whole));
  return {std::move(page), drawn.scale};
}

// Number, size and grey of every part, in columns.
std::vector<Drawing> size_pages(const std::string& piece,
                                const PaintMap& map,
                                const MapOptions& options) {
  const SheetFrame frame = frame_of(options);
  Box room = text_room(frame);
  room.min.y += kBelowHead;
  const auto columns = std::max(1, static_cast<int>(room.width() / kSizeColumn));
  // As even as the columns of one page can be.
  int all = 0;
  for (const PaintedFace& face : map.faces) all += 2 + static_cast<int>(parts_of(face).size());
  const auto most = std::max(1, static_cast<int>(room.height() / kRow));
  const int rows = std::min(most, std::max(kLeastRows, (all + columns - 1) / columns + 3));
  std::vector<Drawing> pages;
  int row = 0;
  int column = 0;
  const auto turn_page = [&] {
    pages.push_back(blank(options.paper));
    add(pages.back(),
        head_marks(frame,
                   {piece,
                    "sizes",
                    "",
                    "cm² on the surface, for one coat; single areas are in coats.json"}));
    row = column = 0;
  };
  turn_page();
  const auto next = [&](int lines) {
    if (row + lines > rows) {
      row = 0;
      if (++column == columns) turn_page();
    }
    const Vec2 at{room.min.x + column * room.width() / columns, room.min.y + row * kRow};
    row += lines;
    return at;
  };
  for (const PaintedFace& face : map.faces) {
    if (row > 0) ++row;
    const Vec2 head = next(3) + Vec2{0.0, 2.6};
    row -= 2;
    pages.back().marks.emplace_back(
        words(fitted_text(face.name, kSizeColumn - 2.0, kTextSize, true), head, kTextSize, true));
    for (const PaintPart& part : parts_of(face)) {
      const Vec2 at = next(1);
      pages.back().marks.emplace_back(swatch(at, part.colour));
      pages.back().marks.emplace_back(words(part.name, at + Vec2{kSwatch + 1.5, 2.6}));
      pages.back().marks.emplace_back(words(fmt::format("{:.1f}", part.size_cm2),
                                            at + Vec2{kSizeColumn - 6.0, 2.6},
                                            kTextSize,
                                            false,
                                            Align::right));
    }
  }
  return pages;
}

}  // namespace

Grey tint_of(std::optional<std::size_t> colour) {
  if (!colour) return {1.0};
  constexpr double kTints[] = {0.90, 0.74, 0.58, 0.82, 0.66, 0.50};
  return {kTints[*colour % std::size(kTints)]};
}

std::string colour_words(const PaintMap& map, std::optional<std::size_t> colour) {
  return colour ? map.colours[*colour].name : "colour to be chosen";
}

std::vector<Drawing> draw_paint_map(const std::string& piece,
                                    const PaintMap& map,
                                    const std::vector<PlacedFace>& faces,
                                    const std::vector<Motif>& motifs,
                                    const MapOptions& options) {
  options.validate();
  std::vector<Drawing> pages = motif_pages(piece, map, motifs, options);
  for (const PaintedFace& painted : map.faces) {
    const PlacedFace& face = *std::find_if(faces.begin(), faces.end(), [&](const auto& known) {
      return known.face.name == painted.name;
    });
    MapOptions sideways = options;
    std::swap(sideways.paper.width_mm, sideways.paper.height_mm);
    MapPage up = face_page(piece, map, painted, face, motifs, options);
    MapPage side = face_page(piece, map, painted, face, motifs, sideways);
    pages.push_back(std::move(side.scale > up.scale ? side.page : up.page));
  }
  for (Drawing& page : size_pages(piece, map, options)) pages.push_back(std::move(page));
  return pages;
}

}  // namespace underdraw
