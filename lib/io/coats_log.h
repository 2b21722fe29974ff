// The log of a piece in its record: coats, firings, test tiles and colour used up, as they are
// done.
//
// Stage:   io. Reads piece.toml, reads and writes record.db.
// Guarantee: an entry that was reported is on the disk, whole; killed at any moment or with several
//          commands at work, none is lost and none is there by half. Nothing is ever deleted: what
//          is taken back is marked.
// Refuses: a colour that neither piece.toml nor the log knows, unless it is said to be new; a face
//          that piece.toml does not have; a test tile under another colour than before; taking back
//          what is not there (InputError); values out of range (OptionError); what io/database.h
//          refuses.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "coats/work_log.h"
#include "coats/work_summary.h"

namespace underdraw {

struct LogOptions {
  std::string note;         // UTF-8 in one line, 500 bytes
  bool new_colour = false;  // a colour that is not known yet is taken

  void validate() const;  // throws OptionError
};

struct Logged {
  LogEntry entry;
  std::vector<std::string> warnings;
};

// A test tile without `of` keeps the one it had; the first time, it is called as the tile is.
Logged write_log(const std::filesystem::path& piece_folder,
                 LogContent content,
                 const LogOptions& options = {});

// The entry that was taken back: of this number; nothing: the last that was not taken back before.
LogEntry take_back(const std::filesystem::path& piece_folder, std::optional<std::int64_t> id = {});

struct LogOfPiece {
  WorkLog log;  // as it was written, with what was taken back
  WorkSummary summary;
  bool lines_kept = false;  // there are photos of stage drawn
};

// Nothing is made: a piece without a record has an empty log.
LogOfPiece log_of_piece(const std::filesystem::path& piece_folder);

}  // namespace underdraw
