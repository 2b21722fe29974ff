#include "sheet/draw_map.h"

#include <fmt/format.h>

#include "core/error.h"
#include "sheet/page_frame.h"
#include "sheet/placement_list.h"

namespace underdraw {
namespace {

constexpr double kNoteHeight = 5.0;  // of the line that says where the rest of the list is

struct MapPage {
  Drawing page;
  double scale = 1.0;
};

MapPage map_page(const std::string& piece,
                 const PlacedFace& face,
                 const std::vector<Motif>& motifs,
                 const MapOptions& options) {
  const SheetFrame frame = frame_of(options);
  Drawing page{options.paper.width_mm, options.paper.height_mm, {}};
  Box room = text_room(frame);
  room.min.y = frame.work.min.y + 1.0;
  // The notes depend on the face alone: their room is kept before the map is drawn.
  Box map_room = room;
  map_room.max.y -= draw_notes(face_map(face, motifs, room).notes, room).height_mm + 2.0;
  FaceMap map = face_map(face, motifs, map_room);
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
  const DrawnNotes notes =
      draw_notes(map.notes, {{room.min.x, room.min.y + map.height_mm + 1.0}, room.max});
  page.marks.insert(page.marks.end(), notes.marks.begin(), notes.marks.end());
  Box below{{room.min.x, room.min.y + map.height_mm + 5.0 + notes.height_mm}, room.max};
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

SheetFrame frame_of(const MapOptions& options) {
  SheetOptions sheet;
  sheet.paper = options.paper;
  sheet.margin_mm = options.margin_mm;
  return frame_of(sheet);
}

std::string scale_words(double scale) {
  if (scale >= 1.0) return "true size";
  return fmt::format("scale {:.0f} %", 100.0 * scale);
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
