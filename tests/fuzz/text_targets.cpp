// Text files that people or other programs write, the project's own JSON, and its record.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include "core/error.h"
#include "fuzz/fuzz_targets.h"
#include "io/class_file.h"
#include "io/piece_file.h"
#include "io/placements_file.h"
#include "io/points_file.h"
#include "io/printer_file.h"
#include "io/record.h"
#include "io/recovered_file.h"
#include "io/sheets_file.h"
#include "io/svg.h"
#include "io/svg_path_data.h"
#include "motif/motif.h"
#include "repeat/arrange.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw::fuzz {
namespace {

void require(bool holds, std::string_view what) {
  if (!holds) report_finding(what);
}

void read_piece_toml(BytesView bytes) { piece_of_text(text_of(bytes), "piece.toml"); }

// Beyond the file's own rules: whatever it asks for is placed, or refused, in bounded time.
void place_piece_toml(BytesView bytes) {
  const PieceFile piece = piece_of_text(text_of(bytes), "piece.toml");
  std::vector<Motif> motifs;
  for (const PageEntry& page : piece.pages) {
    for (const std::string& name : page.names) {
      Linework lines;
      lines.strokes.push_back({Path::polyline({{0, 0}, {17, 3}, {5, 40}, {11, 22}}), 0.5});
      motifs.push_back(make_motif(name, lines));
    }
  }
  if (piece.faces.size() > 8 || piece.arrangements.size() > 8) return;
  arrange(piece.faces,
          piece.arrangements,
          motifs,
          piece.clay,
          {.least_gap_mm = piece.least_gap_mm, .tool = piece.tool});
}

void read_class_toml(BytesView bytes) {
  for (const ClassPerson& person : read_class_file(file_of(bytes)).persons) {
    require(person.piece || !person.complaint.empty(), "a person without piece or complaint");
    require(person.file_name.find('/') == std::string::npos, "a file name with a slash");
  }
}

void read_points_toml(BytesView bytes) { points_of_text(text_of(bytes), "points.toml"); }

// What was read can be written, and then says the same.
void read_printers_toml(BytesView bytes) {
  const fs::path file = file_of(bytes);
  for (const PrinterCorrection& printer : read_printers(file)) keep_printer(file, printer);
  read_printers(file);
}

void read_placements_json(BytesView bytes) {
  const std::string text = placements_text(placements_of_text(text_of(bytes), "placements.json"));
  require(placements_text(placements_of_text(text, "written.json")) == text,
          "placements.json does not come back as written");
}

void read_recovered_json(BytesView bytes) {
  const std::string text = recovered_text(recovered_of_text(text_of(bytes), "recovered.json"));
  require(recovered_text(recovered_of_text(text, "written.json")) == text,
          "recovered.json does not come back as written");
}

void read_sheets_json(BytesView bytes) {
  const std::string text = sheets_text(sheets_of_text(text_of(bytes), "sheets.json"));
  require(sheets_text(sheets_of_text(text, "written.json")) == text,
          "sheets.json does not come back as written");
}

void require_finite(const Path& path) {
  for (const Vec2& p : path.points) {
    require(std::isfinite(p.x) && std::isfinite(p.y), "a point that is nowhere");
  }
}

// A drawing that was read can be written, and then is read again.
void read_svg(BytesView bytes) {
  const SvgPage page = svg_page_of_text(text_of(bytes), "drawing.svg");
  for (const SvgGroup& group : page.groups) {
    for (const Stroke& stroke : group.lines.strokes) require_finite(stroke.path);
  }
  svg_page_of_text(svg_of_page(page.width_mm, page.height_mm, page.groups), "written.svg");
}

void read_path_data(BytesView bytes) {
  const std::string_view text = text_of(bytes);
  const auto each = [](auto read) {
    try {
      read();
    } catch (const InputError&) {
    }
  };
  each([&] { svg_length(text); });
  each([&] { svg_numbers(text); });
  each([&] { svg_transform(text); });
  each([&] {
    for (const Path& path : svg_path_data(text)) require_finite(path);
  });
}

void open_record(BytesView bytes) {
  const test::OwnFolder folder;
  std::ofstream(Record::path_in(folder.path()), std::ios::binary) << text_of(bytes);
  const Record record(folder.path());
  record.database().damage();
  record.photos();
}

}  // namespace

std::vector<Target> text_targets() {
  return {{"class_toml", read_class_toml},
          {"piece_toml", read_piece_toml},
          {"place", place_piece_toml},
          {"placements_json", read_placements_json},
          {"points_toml", read_points_toml},
          {"printers_toml", read_printers_toml},
          {"record_db", open_record},
          {"recovered_json", read_recovered_json},
          {"sheets_json", read_sheets_json},
          {"svg", read_svg},
          {"svg_path_data", read_path_data}};
}

}  // namespace underdraw::fuzz
