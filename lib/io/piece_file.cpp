#include "io/piece_file.h"

#include <algorithm>
#include <array>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/error.h"
#include "core/nearest_word.h"
#include "io/text_file.h"
#include "io/toml_table.h"

namespace underdraw {
namespace {

const TomlRange kSize{1.0, 5000.0, "mm"};
const TomlRange kPlace{0.0, 5000.0, "mm"};
const TomlRange kPercent{0.0, 30.0, "percent"};
const std::vector<std::string> kForms = {"flat", "cylinder"};
const std::vector<std::string> kMirrors = {"none", "alternate", "both"};
constexpr std::size_t kLongestName = 100;  // bytes

std::string listed(const std::vector<std::string>& words) {
  if (words.size() < 2) return fmt::format("{}", fmt::join(words, ""));
  return fmt::format("{} or {}", fmt::join(words.begin(), words.end() - 1, ", "), words.back());
}

std::string meant(const std::string& word, const std::vector<std::string>& known) {
  const auto near = nearest_word(word, known);
  return near ? fmt::format("did you mean '{}'?", *near) : "";
}

bool has_control(std::string_view text) {
  return std::any_of(text.begin(), text.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
  });
}

// Names become file names.
std::string checked_name(const TomlTable& table, const char* key, const std::string& name) {
  const auto refuse = [&](const std::string& why) {
    table.refuse(key, why, "a name that can be a file name", "name it otherwise");
  };
  if (name.empty()) refuse("is empty");
  if (has_control(name)) refuse("has a control character in it");
  if (name.find('/') != name.npos) refuse(fmt::format("is '{}', with a slash in it", name));
  if (name.front() == '.') refuse(fmt::format("is '{}', which begins with a dot", name));
  if (name.find("..") != name.npos) refuse(fmt::format("is '{}', with two dots in it", name));
  if (name.size() > kLongestName) {
    refuse(fmt::format("is {} bytes long, more than {}", name.size(), kLongestName));
  }
  return name;
}

// What the pure stages refuse is told with file and line.
template <typename Read>
auto with_place(const TomlTable& table, const char* key, Read read) {
  try {
    return read();
  } catch (const OptionError& error) {
    const Complaint& c = error.complaint();
    refuse_toml(table.file(), table.line_of(key), c.found, c.expected, c.remedy);
  }
}

Clay read_clay(const TomlTable& table) {
  Clay clay;
  clay.shrinkage.drying_percent = table.number("drying", kPercent);
  clay.shrinkage.bisque_percent = table.number("bisque", kPercent);
  clay.shrinkage.glaze_percent = table.number("glaze", kPercent);
  const std::vector<std::string> stages = {"wet", "leather-hard", "dry", "bisque", "glazed"};
  const auto stage = [&](const char* key, ClayStage& into) {
    const auto name = table.text(key);
    if (!name) return;
    const auto found = clay_stage_named(*name);
    if (!found)
      table.refuse(key, fmt::format("is '{}'", *name), listed(stages), meant(*name, stages));
    into = *found;
  };
  stage("measured_at", clay.measured_at);
  stage("transfer_at", clay.transfer_at);
  with_place(table, "measured_at", [&] {
    return clay.transfer_from_measured() * clay.transfer_from_finished();
  });
  return clay;
}

PaperSize read_paper_size(const TomlTable& table, const toml::node& node) {
  if (node.is_array()) {
    const auto sides = *table.numbers("size", {50.0, 2000.0, "mm"});
    if (sides.size() != 2) {
      table.refuse("size", fmt::format("holds {} numbers", sides.size()), "[width, height]");
    }
    return with_place(table, "size", [&] { return custom_paper(sides[0], sides[1]); });
  }
  if (!node.is_string()) {
    table.refuse("size", "is " + toml_kind(node), listed(paper_names()) + ", or [width, height]");
  }
  return with_place(table, "size", [&] { return paper_size(*node.value<std::string>()); });
}

PageEntry read_page(const TomlTable& table) {
  PageEntry page;
  page.line = table.line();
  page.file = table.need_text("file", "the scan, for example \"pages/sketches.png\"");
  if (page.file.empty() || page.file.find('\0') != page.file.npos) {
    table.refuse("file", "is no file name", "the scan, for example \"pages/sketches.png\"");
  }
  const auto names = table.texts("names");
  if (!names || names->empty()) {
    table.refuse_missing("names", "a name for each sketch, left to right, top to bottom");
  }
  for (const std::string& name : *names) page.names.push_back(checked_name(table, "names", name));
  page.dpi = table.number("dpi", {50.0, 2400.0, "dpi"});
  page.page = table.whole("page", 1, 10000).value_or(1);
  if (const auto captions = table.text("captions")) {
    if (*captions != "keep" && *captions != "skip") {
      table.refuse("captions",
                   fmt::format("is '{}'", *captions),
                   listed({"keep", "skip"}),
                   meant(*captions, {"keep", "skip"}));
    }
    page.captions = *captions == "skip" ? Captions::skip : Captions::keep;
  }
  return page;
}

// [from, to] with from < to.
std::array<double, 2> read_span(const TomlTable& table, const char* key, const TomlRange& range) {
  const auto ends = *table.numbers(key, range);
  if (ends.size() != 2 || !(ends[0] < ends[1])) {
    table.refuse(
        key, fmt::format("is [{}]", fmt::join(ends, ", ")), "[from, to] with from below to");
  }
  return {ends[0], ends[1]};
}

KeepOut read_zone(const TomlTable& table, const FaceForm& form) {
  KeepOut zone;
  zone.why = table.text("why").value_or("");
  if (has_control(zone.why)) table.refuse("why", "has a control character in it", "plain words");
  const bool flat = std::holds_alternative<FlatFace>(form);
  const char* across = flat ? "x" : "a";
  const char* along = flat ? "y" : "s";
  if (!table.has(across) && !table.has(along)) {
    table.refuse_missing(across,
                         fmt::format("{0} = [from, to], {1} = [from, to] or both", across, along));
  }
  // A missing side means all of it.
  if (flat) {
    const auto& face = std::get<FlatFace>(form);
    std::array<double, 2> x = {0.0, face.width_mm}, y = {0.0, face.height_mm};
    if (table.has("x")) x = read_span(table, "x", kPlace);
    if (table.has("y")) y = read_span(table, "y", kPlace);
    return {x[0], x[1], y[0], y[1], zone.why};
  }
  std::array<double, 2> a = {0.0, 360.0}, s = {0.0, kPlace.high};
  if (table.has("a")) {
    // [350, 10] runs over the seam tick.
    const auto ends = *table.numbers("a", {-360.0, 720.0, "degrees"});
    if (ends.size() != 2 || ends[0] == ends[1] || std::abs(ends[1] - ends[0]) > 360.0) {
      table.refuse("a",
                   fmt::format("is [{}]", fmt::join(ends, ", ")),
                   "[from, to] in degrees, to the right from the first to the second");
    }
    a = {ends[0], ends[1]};
  }
  if (table.has("s")) s = read_span(table, "s", kPlace);
  return {a[0], a[1], s[0], s[1], zone.why};
}

Face read_face(const toml::table& raw, const std::string& file) {
  // The form decides which keys there are, so it is looked at first.
  std::vector<std::string> keys = {"name", "form", "keep_out"};
  const toml::node* form = raw.get("form");
  const std::string form_name = form && form->is_string() ? *form->value<std::string>() : "";
  if (form && form->is_string() &&
      std::find(kForms.begin(), kForms.end(), form_name) == kForms.end()) {
    refuse_toml(file,
                static_cast<int>(form->source().begin.line),
                fmt::format("form '{}' is not supported yet", form_name),
                listed(kForms),
                meant(form_name, kForms));
  }
  if (form_name != "cylinder") keys.push_back("width");
  if (form_name != "flat") keys.push_back("circumference");
  keys.push_back("height");
  const TomlTable table(
      raw, file, form_name.empty() ? "[[face]]" : "[[face]] of form " + form_name, keys);
  Face face;
  face.name = checked_name(table, "name", table.need_text("name", "a name for the face"));
  table.need_text("form", listed(kForms));
  const double height = table.need_number("height", kSize);
  if (form_name == "flat") {
    face.form = FlatFace{table.need_number("width", kSize), height};
  } else {
    face.form = CylinderFace{table.need_number("circumference", kSize), height};
  }
  const std::vector<std::string> zone_keys = form_name == "flat"
                                                 ? std::vector<std::string>{"x", "y", "why"}
                                                 : std::vector<std::string>{"a", "s", "why"};
  for (const toml::table* zone : table.tables("keep_out")) {
    face.keep_out.push_back(read_zone(TomlTable(*zone, file, "keep_out", zone_keys), face.form));
  }
  return face;
}

// Place of the word in the list of known ones.
std::size_t chosen(const TomlTable& table,
                   const char* key,
                   const std::string& word,
                   const std::vector<std::string>& known,
                   const std::string& why_not = "is '{}'") {
  const auto at = std::find(known.begin(), known.end(), word);
  if (at == known.end()) {
    table.refuse(key, fmt::format(fmt::runtime(why_not), word), listed(known), meant(word, known));
  }
  return static_cast<std::size_t>(at - known.begin());
}

Arrangement read_arrangement(const TomlTable& table,
                             const std::vector<std::string>& faces,
                             const std::vector<std::string>& motifs) {
  Arrangement asked;
  asked.line = table.line();
  asked.face = table.need_text("face", listed(faces));
  chosen(table, "face", asked.face, faces, "is '{}', and no face is named so");
  const std::string style = table.need_text("style", listed(style_names()));
  asked.style =
      static_cast<Style>(chosen(table, "style", style, style_names(), "'{}' is not supported yet"));
  const auto names = table.texts("motifs");
  if (!names || names->empty()) table.refuse_missing("motifs", "a list of motif names");
  for (const std::string& name : *names) {
    chosen(table, "motifs", name, motifs, "names '{}', and no sketch is named so");
  }
  asked.motifs = *names;
  const std::string mirror = table.text("mirror").value_or("none");
  asked.mirror = static_cast<Mirroring>(chosen(table, "mirror", mirror, kMirrors));
  if (const auto height = table.number("height", kSize)) asked.heights_mm = {*height};
  asked.at_mm = table.number("at", kPlace);
  asked.gap_mm = table.number("gap", kPlace);
  asked.rows = table.whole("rows", 1, 1000);
  asked.row_gap_mm = table.number("row_gap", kPlace);
  const bool in_rows = asked.style == Style::rows;
  for (const char* key : {"rows", "row_gap"}) {
    if (!in_rows && table.has(key)) {
      table.refuse(key, "goes with style rows only", "style = \"rows\"", "remove it");
    }
  }
  if (in_rows && asked.at_mm) {
    table.refuse("at", "does not go with style rows", "rows fill the face's height", "remove it");
  }
  return asked;
}

template <typename Named>
void refuse_repeated(const TomlTable& table,
                     const char* what,
                     const Named& name,
                     std::set<Named>& seen) {
  if (!seen.insert(name).second) {
    refuse_toml(table.file(),
                table.line_of(what[0] == 'f' ? "name" : "names"),
                fmt::format("two {} are named '{}'", what, name),
                "a name of its own for each",
                "rename one");
  }
}

int line_at(std::string_view text, std::size_t at) {
  return 1 + static_cast<int>(
                 std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

toml::table parsed(std::string_view text, const std::string& file) {
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

PieceFile piece_of_text(std::string_view text, const std::string& file) {
  const toml::table root = parsed(text, file);
  // A newer file may hold keys that are not known here: its schema is the better reason.
  std::vector<std::string> all;
  for (const auto& [key, value] : root) all.emplace_back(key.str());
  if (root.contains("schema")) check_schema(TomlTable(root, file, "", all));
  const TomlTable top(
      root,
      file,
      "",
      {"schema", "name", "clay", "paper", "transfer", "line", "page", "face", "arrange"});
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
  if (piece.name.empty() || has_control(piece.name) || piece.name.size() > 2 * kLongestName) {
    top.refuse(
        "name", "is empty, very long or has a control character in it", "a name for the piece");
  }

  piece.clay_stated = root.contains("clay");
  piece.clay.shrinkage = {0.0, 0.0, 0.0};
  const TomlTable clay =
      section("clay", {"drying", "bisque", "glaze", "measured_at", "transfer_at"});
  if (piece.clay_stated) piece.clay = read_clay(clay);

  const TomlTable paper = section("paper", {"size", "margin"});
  if (const toml::node* size = root.at_path("paper.size").node()) {
    piece.paper = read_paper_size(paper, *size);
  } else {
    piece.paper = paper_size("A4");
  }
  piece.margin_mm =
      paper.number("margin", {kLeastMarginMm, kMostMarginMm, "mm"}).value_or(piece.margin_mm);

  const TomlTable transfer = section("transfer", {"method"});
  if (const auto method = transfer.text("method")) {
    piece.transfer = with_place(transfer, "method", [&] { return transfer_method(*method); });
  }
  const TomlTable line = section("line", {"width", "gap"});
  piece.line.width_mm = line.number("width", {0.05, 20.0, "mm"}).value_or(piece.line.width_mm);
  piece.line.gap_mm = line.number("gap", {0.0, 50.0, "mm"}).value_or(piece.line.gap_mm);

  std::set<std::string> seen;
  std::vector<std::string> motifs;
  for (const toml::table* raw : top.tables("page")) {
    const TomlTable table(*raw, file, "[[page]]", {"file", "names", "dpi", "page", "captions"});
    piece.pages.push_back(read_page(table));
    for (const std::string& name : piece.pages.back().names) {
      refuse_repeated(table, "sketches", name, seen);
      motifs.push_back(name);
    }
  }
  seen.clear();
  std::vector<std::string> faces;
  for (const toml::table* raw : top.tables("face")) {
    piece.faces.push_back(read_face(*raw, file));
    faces.push_back(piece.faces.back().name);
    refuse_repeated(TomlTable(*raw,
                              file,
                              "[[face]]",
                              {"name", "form", "width", "circumference", "height", "keep_out"}),
                    "faces",
                    faces.back(),
                    seen);
  }
  for (const toml::table* raw : top.tables("arrange")) {
    const TomlTable table(
        *raw,
        file,
        "[[arrange]]",
        {"face", "style", "motifs", "mirror", "height", "at", "gap", "rows", "row_gap"});
    piece.arrangements.push_back(read_arrangement(table, faces, motifs));
  }
  return piece;
}

PieceFile read_piece_file(const std::filesystem::path& path) {
  return piece_of_text(read_text_file(path, {.expected = "a piece file"}), path.string());
}

}  // namespace underdraw
