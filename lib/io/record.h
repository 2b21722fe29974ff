// The record of a piece, `record.db`: which reference photos are kept, with all that is known of
// them, and the log of coats, firings and test tiles, which io/coats_log.h reads and writes.
//
// Stage:   io. SQLite; see io/database.h for what is guaranteed and refused.
// States:  a photo is promised before its file is put in its place, and kept afterwards. Whoever
//          opens the record next finishes what a killed command promised (see io/photo_store.h).
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "io/database.h"
#include "io/photo_facts.h"

namespace underdraw {

// returning: kept before, and its file, which was gone or changed, is being put back.
enum class PhotoState { promised, kept, returning };

struct PhotoRow {
  std::int64_t id = 0;
  std::string checksum;       // SHA-256 of the file, 64 lower-case hexadecimal digits
  std::string name;           // of the file in photos/
  std::string original_name;  // of the file that was given
  std::int64_t bytes = 0;
  PhotoFacts facts;
  std::string stage;                // "drawn"
  std::optional<std::string> face;  // as in piece.toml
  std::string note;
  std::string added_at;  // UTC, "2026-05-03T14:15:22Z"
  PhotoState state = PhotoState::promised;
  std::string copy_name;  // the hidden file in photos/ that is to become `name`; "" once kept
};

// Every step from an empty file to the newest form.
std::span<const Migration> record_migrations();

class Record {
 public:
  static std::filesystem::path path_in(const std::filesystem::path& piece_folder);

  // Made when it is missing. `migrations`: for tests of records from other versions.
  explicit Record(const std::filesystem::path& piece_folder,
                  std::span<const Migration> migrations = record_migrations());

  const Database& database() const { return database_; }

  std::vector<PhotoRow> photos() const;  // all states, as they were added
  std::optional<PhotoRow> photo_of_checksum(const std::string& checksum) const;
  bool has_photo_name(const std::string& name) const;

  void add_photo(const PhotoRow& row) const;   // its id is given by SQLite
  void set_file(const PhotoRow& row) const;    // state, name and copy_name of the row of its id
  void mark_kept(std::int64_t id) const;       // in whatever state
  void forget_promise(std::int64_t id) const;  // of a photo that was never kept

 private:
  Database database_;
};

}  // namespace underdraw
