#include "io/record.h"

#include <array>
#include <string_view>

#include "core/error.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

// "udrw" in ASCII.
constexpr int kApplicationId = 1969517175;

// A migration that was released is never changed; a later one is put behind it.
constexpr std::array kMigrations{
    Migration{1, R"(
      CREATE TABLE photo (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        checksum TEXT NOT NULL UNIQUE CHECK (length(checksum) = 64),
        name TEXT NOT NULL UNIQUE CHECK (name <> ''),
        original_name TEXT NOT NULL,
        bytes INTEGER NOT NULL CHECK (bytes > 0),
        kind TEXT NOT NULL,
        width_px INTEGER NOT NULL CHECK (width_px > 0),
        height_px INTEGER NOT NULL CHECK (height_px > 0),
        orientation INTEGER NOT NULL CHECK (orientation BETWEEN 1 AND 8),
        taken_at TEXT,
        camera_make TEXT,
        camera_model TEXT,
        focal_length_mm REAL,
        focal_length_35mm REAL,
        stage TEXT NOT NULL CHECK (stage <> ''),
        face TEXT,
        note TEXT NOT NULL,
        added_at TEXT NOT NULL,
        state TEXT NOT NULL CHECK (state IN ('promised', 'kept', 'returning')),
        copy_name TEXT NOT NULL CHECK ((copy_name = '') = (state = 'kept'))
      ) STRICT;
      CREATE INDEX photo_by_stage ON photo (stage, face);
      PRAGMA application_id = 1969517175;
      PRAGMA user_version = 1;
    )"},
    Migration{2, R"(
      CREATE TABLE log_entry (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL CHECK (at <> ''),
        note TEXT NOT NULL,
        undone_at TEXT
      ) STRICT;
      CREATE TABLE coats_laid (
        entry INTEGER PRIMARY KEY REFERENCES log_entry (id),
        colour TEXT NOT NULL CHECK (colour <> ''),
        count INTEGER NOT NULL CHECK (count BETWEEN 1 AND 20),
        face TEXT,
        areas TEXT NOT NULL
      ) STRICT;
      CREATE TABLE firing (
        entry INTEGER PRIMARY KEY REFERENCES log_entry (id),
        stage TEXT NOT NULL CHECK (stage <> '')
      ) STRICT;
      CREATE TABLE tile_reading (
        entry INTEGER PRIMARY KEY REFERENCES log_entry (id),
        tile TEXT NOT NULL CHECK (tile <> ''),
        of TEXT NOT NULL CHECK (of <> ''),
        state TEXT NOT NULL CHECK (state IN ('wet', 'dry', 'bisque', 'glazed')),
        l REAL NOT NULL,
        a REAL NOT NULL,
        b REAL NOT NULL,
        spread REAL NOT NULL CHECK (spread >= 0),
        grey_l REAL NOT NULL,
        photo TEXT NOT NULL,
        checksum TEXT NOT NULL CHECK (length(checksum) = 64)
      ) STRICT;
      CREATE TABLE colour_used (
        entry INTEGER PRIMARY KEY REFERENCES log_entry (id),
        colour TEXT NOT NULL CHECK (colour <> ''),
        ml REAL NOT NULL CHECK (ml > 0),
        area_cm2 REAL NOT NULL CHECK (area_cm2 > 0),
        coats INTEGER NOT NULL CHECK (coats BETWEEN 1 AND 20)
      ) STRICT;
      PRAGMA user_version = 2;
    )"},
};

constexpr const char* kWhenUnusable =
    "restore it from a backup, or move it away and keep the files in photos/ again; they are "
    "untouched";

constexpr const char* kPhotos =
    "SELECT id, checksum, name, original_name, bytes, kind, width_px, height_px, orientation,"
    " taken_at, camera_make, camera_model, focal_length_mm, focal_length_35mm, stage, face, note,"
    " added_at, state, copy_name FROM photo ORDER BY id";
constexpr const char* kPhotoOfChecksum =
    "SELECT id, checksum, name, original_name, bytes, kind, width_px, height_px, orientation,"
    " taken_at, camera_make, camera_model, focal_length_mm, focal_length_35mm, stage, face, note,"
    " added_at, state, copy_name FROM photo WHERE checksum = ?1";

std::string name_of(PhotoState state) {
  switch (state) {
    case PhotoState::promised:
      return "promised";
    case PhotoState::kept:
      return "kept";
    case PhotoState::returning:
      return "returning";
  }
  return {};
}

PhotoState state_named(std::string_view name) {
  if (name == "kept") return PhotoState::kept;
  return name == "returning" ? PhotoState::returning : PhotoState::promised;
}

PageKind kind_named(std::string_view name) {
  if (name == "PNG") return PageKind::png;
  return name == "HEIC" ? PageKind::heic : PageKind::jpeg;
}

PhotoRow row_of(const Statement& at) {
  const auto text = [&](int column) {
    return at.null(column) ? std::nullopt : std::optional(at.text(column));
  };
  const auto number = [&](int column) {
    return at.null(column) ? std::nullopt : std::optional(at.number(column));
  };
  return {.id = at.whole(0),
          .checksum = at.text(1),
          .name = at.text(2),
          .original_name = at.text(3),
          .bytes = at.whole(4),
          .facts = {.kind = kind_named(at.text(5)),
                    .width_px = at.whole(6),
                    .height_px = at.whole(7),
                    .orientation = static_cast<int>(at.whole(8)),
                    .taken_at = text(9),
                    .camera_make = text(10),
                    .camera_model = text(11),
                    .focal_length_mm = number(12),
                    .focal_length_35mm = number(13)},
          .stage = at.text(14),
          .face = text(15),
          .note = at.text(16),
          .added_at = at.text(17),
          .state = state_named(at.text(18)),
          .copy_name = at.text(19)};
}

}  // namespace

std::span<const Migration> record_migrations() { return kMigrations; }

fs::path Record::path_in(const fs::path& piece_folder) { return piece_folder / "record.db"; }

Record::Record(const fs::path& piece_folder, std::span<const Migration> migrations)
    : database_(path_in(piece_folder),
                {.application_id = kApplicationId,
                 .migrations = migrations,
                 .when_unusable = kWhenUnusable}) {}

std::vector<PhotoRow> Record::photos() const {
  std::vector<PhotoRow> rows;
  Statement all = database_.statement(kPhotos);
  while (all.step()) rows.push_back(row_of(all));
  return rows;
}

std::optional<PhotoRow> Record::photo_of_checksum(const std::string& checksum) const {
  Statement found = database_.statement(kPhotoOfChecksum);
  found.bind(1, checksum);
  if (!found.step()) return {};
  return row_of(found);
}

bool Record::has_photo_name(const std::string& name) const {
  Statement found = database_.statement("SELECT 1 FROM photo WHERE name = ?1");
  return found.bind(1, name).step();
}

void Record::add_photo(const PhotoRow& row) const {
  database_
      .statement(
          "INSERT INTO photo (checksum, name, original_name, bytes, kind, width_px, height_px,"
          " orientation, taken_at, camera_make, camera_model, focal_length_mm, focal_length_35mm,"
          " stage, face, note, added_at, state, copy_name) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8,"
          " ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19)")
      .bind(1, row.checksum)
      .bind(2, row.name)
      .bind(3, row.original_name)
      .bind(4, row.bytes)
      .bind(5, underdraw::name_of(row.facts.kind))
      .bind(6, row.facts.width_px)
      .bind(7, row.facts.height_px)
      .bind(8, std::int64_t{row.facts.orientation})
      .bind(9, row.facts.taken_at)
      .bind(10, row.facts.camera_make)
      .bind(11, row.facts.camera_model)
      .bind(12, row.facts.focal_length_mm)
      .bind(13, row.facts.focal_length_35mm)
      .bind(14, row.stage)
      .bind(15, row.face)
      .bind(16, row.note)
      .bind(17, row.added_at)
      .bind(18, name_of(row.state))
      .bind(19, row.copy_name)
      .run();
}

void Record::set_file(const PhotoRow& row) const {
  database_.statement("UPDATE photo SET state = ?2, name = ?3, copy_name = ?4 WHERE id = ?1")
      .bind(1, row.id)
      .bind(2, name_of(row.state))
      .bind(3, row.name)
      .bind(4, row.copy_name)
      .run();
}

void Record::mark_kept(std::int64_t id) const {
  database_.statement("UPDATE photo SET state = 'kept', copy_name = '' WHERE id = ?1")
      .bind(1, id)
      .run();
}

void Record::forget_promise(std::int64_t id) const {
  database_.statement("DELETE FROM photo WHERE id = ?1 AND state = 'promised'").bind(1, id).run();
}

}  // namespace underdraw
