#include "io/coats_log.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/error.h"
#include "core/listed.h"
#include "core/nearest_word.h"
#include "io/open_photo_store.h"
#include "io/photo_store.h"
#include "io/piece_file.h"
#include "io/record.h"
#include "io/record_text.h"
#include "io/stage_rows.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr int kMostCoats = 20;
constexpr const char* kShowsLines = "drawn";

// ---- what may be written

void require_name(const std::string& name, const char* field) {
  constexpr std::size_t kLongest = 100;
  const bool blank_end = name.empty() || name.front() == ' ' || name.back() == ' ';
  if (!blank_end && name.size() <= kLongest && is_one_line(name)) return;
  throw OptionError({.file = field,
                     .line = {},
                     .found = name.empty() ? "nothing" : "a text that cannot be a name",
                     .expected = "one line of 100 bytes at most, without blanks about it",
                     .remedy = {}});
}

void require_in_range(const CoatsLaid& laid) {
  require_name(laid.colour, "colour");
  require_between(laid.count, 1, kMostCoats, "coats laid", "");
}
void require_in_range(const Firing& firing) {
  if (is_stage(firing.stage)) return;
  throw OptionError({.file = "firing",
                     .line = {},
                     .found = "\"" + utf8_of_name(firing.stage) + "\"",
                     .expected = "bisque, glaze or another word in lower-case letters, digits and "
                                 "hyphens",
                     .remedy = {}});
}
void require_in_range(const TileReading& reading) {
  require_name(reading.tile, "test tile");
  require_name(reading.of, "colour of the tile");
}
void require_in_range(const ColourUsed& used) {
  require_name(used.colour, "colour");
  require_between(used.ml, 0.01, 100'000.0, "colour used", "ml");
  require_between(used.area_cm2, 0.1, 1'000'000.0, "area covered", "cm2");
  require_between(used.coats, 1, kMostCoats, "coats", "");
}

// ---- rows of the record

TileState state_named(const std::string& name) {
  const auto& names = tile_state_names();
  return static_cast<TileState>(std::find(names.begin(), names.end(), name) - names.begin());
}

LogEntry entry_of(const Statement& at, LogContent content) {
  return {.id = at.whole(0),
          .content = std::move(content),
          .note = at.text(2),
          .at = at.text(1),
          .undone_at = at.null(3) ? std::nullopt : std::optional(at.text(3))};
}

void add_coats(WorkLog& log, const Database& database) {
  Statement all = database.statement(
      "SELECT id, at, note, undone_at, colour, count, face, areas FROM log_entry"
      " JOIN coats_laid ON entry = id");
  while (all.step()) {
    CoatsLaid laid{.colour = all.text(4), .count = static_cast<int>(all.whole(5)), .place = {}};
    if (!all.null(6)) laid.place.face = all.text(6);
    if (const std::string areas = all.text(7); !areas.empty()) {
      laid.place.areas = areas_of_text(areas);
    }
    log.push_back(entry_of(all, laid));
  }
}

void add_firings(WorkLog& log, const Database& database) {
  Statement all = database.statement(
      "SELECT id, at, note, undone_at, stage FROM log_entry JOIN firing ON entry = id");
  while (all.step()) log.push_back(entry_of(all, Firing{all.text(4)}));
}

void add_tiles(WorkLog& log, const Database& database) {
  Statement all = database.statement(
      "SELECT id, at, note, undone_at, tile, of, state, l, a, b, spread, grey_l, photo, checksum"
      " FROM log_entry JOIN tile_reading ON entry = id");
  while (all.step()) {
    log.push_back(entry_of(all,
                           TileReading{.tile = all.text(4),
                                       .of = all.text(5),
                                       .state = state_named(all.text(6)),
                                       .colour = {all.number(7), all.number(8), all.number(9)},
                                       .spread = all.number(10),
                                       .grey_l = all.number(11),
                                       .photo = all.text(12),
                                       .checksum = all.text(13)}));
  }
}

void add_used(WorkLog& log, const Database& database) {
  Statement all = database.statement(
      "SELECT id, at, note, undone_at, colour, ml, area_cm2, coats FROM log_entry"
      " JOIN colour_used ON entry = id");
  while (all.step()) {
    log.push_back(entry_of(all,
                           ColourUsed{.colour = all.text(4),
                                      .ml = all.number(5),
                                      .area_cm2 = all.number(6),
                                      .coats = static_cast<int>(all.whole(7))}));
  }
}

WorkLog log_in(const Database& database) {
  WorkLog log;
  add_coats(log, database);
  add_firings(log, database);
  add_tiles(log, database);
  add_used(log, database);
  std::sort(
      log.begin(), log.end(), [](const LogEntry& a, const LogEntry& b) { return a.id < b.id; });
  return log;
}

void insert(const Database& database, std::int64_t id, const CoatsLaid& laid) {
  database
      .statement(
          "INSERT INTO coats_laid (entry, colour, count, face, areas)"
          " VALUES (?1, ?2, ?3, ?4, ?5)")
      .bind(1, id)
      .bind(2, laid.colour)
      .bind(3, std::int64_t{laid.count})
      .bind(4, laid.place.face)
      .bind(5, text_of_areas(laid.place.areas))
      .run();
}
void insert(const Database& database, std::int64_t id, const Firing& firing) {
  database.statement("INSERT INTO firing (entry, stage) VALUES (?1, ?2)")
      .bind(1, id)
      .bind(2, firing.stage)
      .run();
}
void insert(const Database& database, std::int64_t id, const TileReading& reading) {
  database
      .statement(
          "INSERT INTO tile_reading (entry, tile, of, state, l, a, b, spread, grey_l, photo,"
          " checksum) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)")
      .bind(1, id)
      .bind(2, reading.tile)
      .bind(3, reading.of)
      .bind(4, name_of(reading.state))
      .bind(5, reading.colour.l)
      .bind(6, reading.colour.a)
      .bind(7, reading.colour.b)
      .bind(8, reading.spread)
      .bind(9, reading.grey_l)
      .bind(10, reading.photo)
      .bind(11, reading.checksum)
      .run();
}
void insert(const Database& database, std::int64_t id, const ColourUsed& used) {
  database
      .statement(
          "INSERT INTO colour_used (entry, colour, ml, area_cm2, coats)"
          " VALUES (?1, ?2, ?3, ?4, ?5)")
      .bind(1, id)
      .bind(2, used.colour)
      .bind(3, used.ml)
      .bind(4, used.area_cm2)
      .bind(5, std::int64_t{used.coats})
      .run();
}

std::int64_t insert_entry(const Database& database, const LogEntry& entry) {
  Statement made =
      database.statement("INSERT INTO log_entry (at, note) VALUES (?1, ?2) RETURNING id");
  made.bind(1, entry.at).bind(2, entry.note).step();
  const std::int64_t id = made.whole(0);
  made.run();
  return id;
}

// ---- what an entry must fit to

bool has_record(const fs::path& folder) {
  return fs::exists(fs::symlink_status(Record::path_in(folder)));
}

fs::path piece_file_of(const fs::path& folder) { return folder / "piece.toml"; }

std::vector<std::string> known_colours(const PieceFile& piece, const WorkLog& log) {
  std::vector<std::string> known;
  const auto add = [&](const std::string& name) {
    if (std::find(known.begin(), known.end(), name) == known.end()) known.push_back(name);
  };
  for (const Colour& colour : piece.colours) add(colour.name);
  for (const CoatsLaid* laid : entries_of<CoatsLaid>(log)) add(laid->colour);
  for (const ColourUsed* used : entries_of<ColourUsed>(log)) add(used->colour);
  return known;
}

void require_colour(const std::string& name,
                    const PieceFile& piece,
                    const WorkLog& log,
                    const fs::path& folder) {
  const std::vector<std::string> known = known_colours(piece, log);
  if (std::find(known.begin(), known.end(), name) != known.end()) return;
  const std::optional<std::string> meant = nearest_word(name, known);
  throw InputError(
      {.file = piece_file_of(folder).string(),
       .line = {},
       .found = known.empty() ? "names no colour yet" : "names no colour " + name,
       .expected = listed(known),
       .remedy = (meant ? "did you mean " + *meant + "? If not, add" : std::string("add")) +
                 " a [[colour]] there, or pass --new-colour"});
}

void require_face(const std::optional<std::string>& face,
                  const PieceFile& piece,
                  const fs::path& folder) {
  if (!face) return;
  std::vector<std::string> names;
  for (const Face& one : piece.faces) names.push_back(one.name);
  if (std::find(names.begin(), names.end(), *face) != names.end()) return;
  throw InputError({.file = piece_file_of(folder).string(),
                    .line = {},
                    .found = "has no face " + *face,
                    .expected = listed(names),
                    .remedy = "name one of these with --face"});
}

// What the tile was called before.
std::optional<std::string> of_tile(const std::string& tile, const WorkLog& log) {
  for (const TileReading* reading : entries_of<TileReading>(log)) {
    if (reading->tile == tile) return reading->of;
  }
  return std::nullopt;
}

class Fitting {
 public:
  Fitting(const fs::path& folder, const PieceFile& piece, bool new_colour)
      : folder_(folder), piece_(piece), new_colour_(new_colour) {}

  void operator()(const WorkLog& log, CoatsLaid& laid) const {
    require_in_range(laid);
    require_face(laid.place.face, piece_, folder_);
    if (!new_colour_) require_colour(laid.colour, piece_, log, folder_);
  }
  void operator()(const WorkLog&, Firing& firing) const { require_in_range(firing); }
  void operator()(const WorkLog& log, TileReading& reading) const {
    const std::optional<std::string> before = of_tile(reading.tile, log);
    if (reading.of.empty()) reading.of = before.value_or(reading.tile);
    require_in_range(reading);
    if (!before || *before == reading.of) return;
    throw InputError({.file = folder_.string(),
                      .line = {},
                      .found = "test tile " + reading.tile + " is of " + *before,
                      .expected = {},
                      .remedy = "give this one another name, or leave --of out"});
  }
  void operator()(const WorkLog& log, ColourUsed& used) const {
    require_in_range(used);
    if (!new_colour_) require_colour(used.colour, piece_, log, folder_);
  }

 private:
  const fs::path& folder_;
  const PieceFile& piece_;
  bool new_colour_;
};

// Lines that the first coat is about to hide for good.
std::vector<std::string> warnings_of(const LogContent& content,
                                     const PieceFile& piece,
                                     const WorkLog& before,
                                     const Record& record) {
  const auto* laid = std::get_if<CoatsLaid>(&content);
  if (!laid || piece.arrangements.empty() || !entries_of<CoatsLaid>(before).empty()) return {};
  const bool hides = std::any_of(piece.colours.begin(), piece.colours.end(), [&](const auto& c) {
    return c.name == laid->colour && c.kind != ColourKind::wash;
  });
  if (!hides || !of_stage(record.photos(), kShowsLines).empty()) return {};
  return {fmt::format(
      "no photos of stage {} are kept: lines that {} hides cannot be brought back as they were "
      "drawn; see underdraw keep",
      kShowsLines,
      laid->colour)};
}

}  // namespace

void LogOptions::validate() const {
  if (is_one_line(note)) return;
  throw OptionError({.file = "note",
                     .line = {},
                     .found = "a text that is too long or unreadable",
                     .expected = "one line of 500 bytes at most",
                     .remedy = {}});
}

Logged write_log(const fs::path& piece_folder, LogContent content, const LogOptions& options) {
  options.validate();
  require_piece_folder(piece_folder);
  const PieceFile piece = read_piece_file(piece_file_of(piece_folder));
  const auto fit = [&](const WorkLog& log) {
    const Fitting fitting(piece_folder, piece, options.new_colour);
    std::visit([&](auto& what) { fitting(log, what); }, content);
  };
  if (!has_record(piece_folder)) fit({});  // what is refused makes no record
  const Record record(piece_folder);
  Logged logged;
  LogEntry& entry = logged.entry;
  entry.note = options.note;
  entry.at = now_in_utc();

  Transaction transaction(record.database());
  const WorkLog before = log_in(record.database());
  fit(before);
  logged.warnings = warnings_of(content, piece, before, record);
  entry.id = insert_entry(record.database(), entry);
  std::visit([&](const auto& what) { insert(record.database(), entry.id, what); }, content);
  transaction.commit();
  entry.content = std::move(content);
  return logged;
}

LogEntry take_back(const fs::path& piece_folder, std::optional<std::int64_t> id) {
  const auto refuse = [&](const std::string& found, const std::string& remedy) {
    throw InputError({.file = piece_folder.string(),
                      .line = {},
                      .found = found,
                      .expected = {},
                      .remedy = remedy});
  };
  require_piece_folder(piece_folder);
  const char* kSeeHistory = "underdraw coats DIR --history shows the numbers";
  if (!has_record(piece_folder)) {
    refuse("has nothing in its log to take back", {});
  }
  const Record record(piece_folder);
  Transaction transaction(record.database());
  WorkLog log = log_in(record.database());
  const auto found = std::find_if(log.rbegin(), log.rend(), [&](const LogEntry& entry) {
    return id ? entry.id == *id : !entry.undone_at.has_value();
  });
  if (found == log.rend()) {
    refuse(id ? fmt::format("has no entry {} in its log", *id)
              : std::string("has nothing in its log to take back"),
           id ? kSeeHistory : "");
  }
  if (found->undone_at) refuse(fmt::format("entry {} is taken back already", *id), kSeeHistory);
  found->undone_at = now_in_utc();
  record.database()
      .statement("UPDATE log_entry SET undone_at = ?2 WHERE id = ?1")
      .bind(1, found->id)
      .bind(2, found->undone_at)
      .run();
  transaction.commit();
  return *found;
}

LogOfPiece log_of_piece(const fs::path& piece_folder) {
  require_piece_folder(piece_folder);
  const PieceFile piece = read_piece_file(piece_file_of(piece_folder));
  LogOfPiece out;
  if (has_record(piece_folder)) {
    const Record record(piece_folder);
    out.log = log_in(record.database());
    out.lines_kept = !of_stage(record.photos(), kShowsLines).empty();
  }
  out.summary = summary_of(out.log, piece.colours);
  return out;
}

}  // namespace underdraw
