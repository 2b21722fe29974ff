// Keeps reference photos of a piece: originals byte for byte in `photos/`, what is known of them in
// `record.db`.
//
// Stage:   io. Never sends anything anywhere, never deletes a kept photo or its row.
// Guarantee: killed at any moment, or with several commands at work, no photo that was reported
//          kept is lost, and no row is left without its photo. Either all photos given are taken or
//          none. Nothing in photos/ is ever replaced.
// How:     1. a copy under a hidden name, flushed to the disk; 2. the record promises it, with all
//          that is to be recorded; 3. the copy gets its name in one step; 4. the record says kept.
//          What was stopped after 2 is finished by whoever opens the store next; what was stopped
//          before 2 was never reported kept, and its hidden copy is removed. photos/ is locked
//          meanwhile, and the record's own transactions hold on disks without locks too.
// Twice:   the same photo (by checksum) is kept once, and its row stays as it is. When its file has
//          gone missing or was changed, the photo that is given again takes its place. A file that
//          already lies in photos/ without a row is taken in where it lies.
// Refuses: what read_photo_facts refuses, photos above 200 MB, a folder that is missing, what
//          io/database.h and io/photo_folder.h refuse.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/progress.h"
#include "io/out_folder.h"
#include "io/record.h"

namespace underdraw {

// Where keep_photos stands; for tests that stop it there.
enum class KeepPoint { opened, copied, promised, placed, recorded };

struct KeepOptions {
  std::string stage;  // lower-case words: "drawn", "covered", "fired", "second-coat"; 32 letters
  std::optional<std::string> face;  // as in piece.toml; unchecked here
  std::string note;                 // UTF-8 in one line, 500 bytes
  std::function<void(KeepPoint)> passing = {};

  void validate() const;  // throws OptionError
};

enum class Keeping { kept, already, returned, taken_in };

struct KeptPhoto {
  PhotoRow row;
  Keeping how = Keeping::kept;
  std::string given;  // the file as it was named
};

struct KeepReport {
  std::vector<KeptPhoto> photos;  // as given
  std::vector<std::string> warnings;
};

KeepReport keep_photos(const std::filesystem::path& piece_folder,
                       const std::vector<std::string>& files,
                       const KeepOptions& options,
                       const Progress& progress = {},
                       const Notice& notice = {});

// As they were added; none when nothing was ever kept.
std::vector<PhotoRow> kept_photos(const std::filesystem::path& piece_folder,
                                  const Notice& notice = {});

// By its name in photos/, its original name or the beginning of its checksum (6 digits or more);
// refused when none or several are meant (InputError).
PhotoRow kept_photo(const std::filesystem::path& piece_folder,
                    const std::string& which,
                    const Notice& notice = {});

// Whether the word can be a stage.
bool is_stage(const std::string& word);

enum class PhotoProblem { missing, changed, unreadable, without_row, record_damaged };

struct PhotoFinding {
  PhotoProblem problem = PhotoProblem::missing;
  std::string file;  // "photos/….jpg" or "record.db"
  std::string text;  // one line with a remedy
};

struct VerifyReport {
  std::size_t photos = 0;  // rows
  std::int64_t bytes = 0;  // of photos that are as they were kept
  std::vector<PhotoFinding> findings;

  bool ok() const { return findings.empty(); }
};

// Reads every kept photo again.
VerifyReport verify_photos(const std::filesystem::path& piece_folder,
                           const Progress& progress = {},
                           const Notice& notice = {});

struct ExportReport {
  std::vector<std::string> files;     // written, as paths
  std::vector<std::string> left_out;  // one line each: missing or changed photos
};

// Copies without location, serial numbers and whatever else is not needed to show the picture (see
// io/photo_metadata.h), under their names in photos/. All are written or none. A folder in photos/
// is refused, an empty store too.
ExportReport export_photos(const std::filesystem::path& piece_folder,
                           const std::filesystem::path& target,
                           Overwrite overwrite,
                           const Progress& progress = {},
                           const Notice& notice = {});

}  // namespace underdraw
