#include "io/piece_file.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "core/error.h"
#include "io/piece_table.h"
#include "io/read_arrangement.h"
#include "io/read_colours.h"
#include "io/read_face.h"
#include "io/text_file.h"
#include "io/toml_table.h"

namespace underdraw {
namespace {

const TomlRange kPercent{0.0, 30.0, "percent"};

const TomlRange kMatBarRange{90.0, 110.0, "mm"};  // see photo/camera_pose.h

Clay read_clay(const TomlTable& table) {
  Clay clay;
  clay.shrinkage.drying_percent = table.number("drying", kPercent);
  clay.shrinkage.bisque_percent = table.number("bisque", kPercent);
  clay.shrinkage.glaze_percent = table.number("glaze", kPercent);
  const std::vector<std::string> stages = {"wet", "leather-hard", "dry", "bisque", "glazed"};
  const auto stage = [&](const char* key, ClayStage& into) {
    const auto name = table.text(key);
    if (!name) return;
    into = static_cast<ClayStage>(table.choice(key, *name, stages));
  };
  stage("measured_at", clay.measured_at);
  stage("transfer_at", clay.transfer_at);
  table.with_place("measured_at",
                   [&] { return clay.transfer_from_measured() * clay.transfer_from_finished(); });
  return clay;
}

PaperSize read_paper_size(const TomlTable& table, const toml::node& node) {
  if (node.is_array()) {
    const auto sides = *table.numbers("size", {50.0, 2000.0, "mm"});
    if (sides.size() != 2) {
      table.refuse("size", fmt::format("holds {} numbers", sides.size()), "[width, height]");
    }
    return table.with_place("size", [&] { return custom_paper(sides[0], sides[1]); });
  }
  if (!node.is_string()) {
    table.refuse("size", "is " + toml_kind(node), words_or(paper_names()) + ", or [width, height]");
  }
  return table.with_place("size", [&] { return paper_size(*node.value<std::string>()); });
}

PageEntry read_page(const TomlTable& table) {
  PageEntry page;
  page.line = table.line();
  page.file = table.need_file("file", "the scan, for example \"pages/sketches.png\"");
  const auto names = table.texts("names");
  if (!names || names->empty()) {
    table.refuse_missing("names", "a name for each sketch, left to right, top to bottom");
  }
  for (const std::string& name : *names)
    page.names.push_back(name_for_a_file(table, "names", name));
  page.dpi = table.number("dpi", {50.0, 2400.0, "dpi"});
  page.page = table.whole("page", 1, 10000).value_or(1);
  if (const auto captions = table.text("captions")) {
    const bool skip = table.choice("captions", *captions, {"keep", "skip"}) == 1;
    page.captions = skip ? Captions::skip : Captions::keep;
  }
  return page;
}

void refuse_repeated(const std::string& file,
                     const toml::table& table,
                     const char* what,
                     const std::string& name,
                     std::set<std::string>& seen) {
  if (seen.insert(name).second) return;
  const toml::node* at = table.get("name") ? table.get("name") : table.get("names");
  refuse_toml(file,
              at ? static_cast<int>(at->source().begin.line) : 1,
              fmt::format("two {} are named '{}'", what, name),
              "a name of its own for each",
              "rename one");
}

int line_at(std::string_view text, std::size_t at) {
  return 1 + static_cast<int>(
                 std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

}  // namespace

toml::table parsed_toml(std::string_view text, const std::string& file) {
  if (text.find_first_not_of(" \t\r\n") == text.npos) {
    refuse_toml(file, {}, "is empty", "a piece file", "make one with 'underdraw new'");
  }
  if (const auto bad = first_bad_utf8(text)) {
    refuse_toml(file,
                line_at(text, *bad),
                fmt::format("byte 0x{:02x} is not UTF-8", static_cast<unsigned char>(text[*bad])),
                "text in UTF-8",
                "save the file as UTF-8");
  }
  try {
    return toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    refuse_toml(file,
                static_cast<int>(error.source().begin.line),
                fmt::format("not readable as TOML: {}", error.description()),
                "key = value",
                "correct this line or the one before it");
  }
}

namespace {

void check_schema(const TomlTable& top) {
  if (!top.has("schema")) {
    top.refuse_missing("schema", fmt::format("{}, as the first line", kPieceSchema));
  }
  const int schema = *top.whole("schema", 1, 1'000'000);
  if (schema > kPieceSchema) {
    top.refuse("schema",
               fmt::format("is {}", schema),
               fmt::format("at most {}", kPieceSchema),
               "use a newer underdraw");
  }
}

}  // namespace

const std::vector<std::string>& piece_keys() {
  static const std::vector<std::string> keys = {"schema",
                                                "name",
                                                "clay",
                                                "measure",
                                                "paper",
                                                "transfer",
                                                "line",
                                                "mat",
                                                "page",
                                                "motif",
                                                "face",
                                                "arrange",
                                                "coats",
                                                "colour"};
  return keys;
}

PieceFile piece_of_text(std::string_view text, const std::string& file) {
  return piece_of_table(parsed_toml(text, file), file);
}

PieceFile piece_of_table(const toml::table& root, const std::string& file) {
  // A newer file may hold keys that are not known here: its schema is the better reason.
  std::vector<std::string> all;
  for (const auto& [key, value] : root) all.emplace_back(key.str());
  if (root.contains("schema")) check_schema(TomlTable(root, file, "", all));
  const TomlTable top(root, file, "", piece_keys());
  check_schema(top);
  const auto section = [&](const char* key, std::vector<std::string> keys) {
    static const toml::table kNone;
    const toml::node* node = root.get(key);
    if (node && !node->is_table()) {
      top.refuse(key, "is " + toml_kind(*node), "a table", fmt::format("write [{}]", key));
    }
    return TomlTable(
        node ? *node->as_table() : kNone, file, fmt::format("[{}]", key), std::move(keys));
  };

  PieceFile piece;
  piece.name = top.need_text("name", "a name for the piece");
  if (piece.name.empty() || has_control_character(piece.name) ||
      piece.name.size() > 2 * kLongestName) {
    top.refuse(
        "name", "is empty, very long or has a control character in it", "a name for the piece");
  }

  piece.clay_stated = root.contains("clay");
  piece.clay.shrinkage = {0.0, 0.0, 0.0};
  const TomlTable clay =
      section("clay", {"drying", "bisque", "glaze", "measured_at", "transfer_at"});
  if (piece.clay_stated) piece.clay = read_clay(clay);

  const TomlTable paper = section("paper", {"size", "margin", "turn", "printer"});
  piece.sheets.margin_mm = kUsualMarginMm;
  if (const toml::node* size = root.at_path("paper.size").node()) {
    piece.sheets.paper = read_paper_size(paper, *size);
  } else {
    piece.sheets.paper = paper_size("A4");
  }
  piece.sheets.margin_mm = paper.number("margin", {kLeastMarginMm, kMostMarginMm, "mm"})
                               .value_or(piece.sheets.margin_mm);

  if (const auto turn = paper.text("turn")) {
    piece.sheets.turn = paper.with_place("turn", [&] { return cut_out_turn(*turn); });
  }

  if (const auto printer = paper.text("printer")) {
    piece.printer = *printer;
    piece.printer_line = paper.line_of("printer");
  }

  const TomlTable transfer = section("transfer", {"method", "pitch"});
  if (const auto method = transfer.text("method")) {
    piece.sheets.method = transfer.with_place("method", [&] { return transfer_method(*method); });
  }
  piece.sheets.pitch_mm =
      transfer.number("pitch", {kLeastPitchMm, kMostPitchMm, "mm"}).value_or(piece.sheets.pitch_mm);
  const TomlTable line = section("line", {"width", "gap", "clear"});
  piece.tool.width_mm = line.number("width", {0.05, 20.0, "mm"}).value_or(piece.tool.width_mm);
  piece.tool.gap_mm = line.number("clear", {0.0, 20.0, "mm"}).value_or(piece.tool.gap_mm);
  piece.least_gap_mm = line.number("gap", {0.0, 50.0, "mm"}).value_or(piece.least_gap_mm);

  if (root.contains("mat")) {
    const TomlTable mat = section("mat", {"across", "down"});
    piece.mat_bars_mm =
        Vec2{mat.need_number("across", kMatBarRange), mat.need_number("down", kMatBarRange)};
  }

  std::set<std::string> seen;
  std::vector<std::string> motifs;
  for (const toml::table* raw : top.tables("page")) {
    const TomlTable table(*raw, file, "[[page]]", {"file", "names", "dpi", "page", "captions"});
    piece.pages.push_back(read_page(table));
    for (const std::string& name : piece.pages.back().names) {
      refuse_repeated(file, *raw, "sketches", name, seen);
      motifs.push_back(name);
    }
  }
  for (const toml::table* raw : top.tables("motif")) {
    const TomlTable table(*raw, file, "[[motif]]", {"name", "file"});
    piece.motif_files.push_back(
        {name_for_a_file(table, "name", table.need_text("name", "a name for the motif")),
         table.need_file("file", "an SVG file of linework")});
    refuse_repeated(file, *raw, "motifs", piece.motif_files.back().name, seen);
    motifs.push_back(piece.motif_files.back().name);
  }
  const TomlTable measure = section("measure", {"tape"});
  const double tape = measure.number("tape", {0.0, 20.0, "mm"}).value_or(1.0);
  seen.clear();
  std::vector<std::string> faces;
  for (const toml::table* raw : top.tables("face")) {
    piece.faces.push_back(read_face(*raw, file));
    piece.faces.back().tape_mm = tape;
    faces.push_back(piece.faces.back().name);
    refuse_repeated(file, *raw, "faces", faces.back(), seen);
  }
  for (const toml::table* raw : top.tables("arrange")) {
    piece.arrangements.push_back(read_arrangement(*raw, file, piece.faces, motifs));
  }
  piece.coats = read_coats(section("coats", coats_keys()));
  piece.colours = read_colours(top.tables("colour"), file, faces, motifs);
  return piece;
}

PieceFile read_piece_file(const std::filesystem::path& path) {
  return piece_of_text(read_text_file(path, {.expected = "a piece file"}), path.string());
}

}  // namespace underdraw
