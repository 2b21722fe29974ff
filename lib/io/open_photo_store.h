// The photo store while a command works on it: locked, and tidy after whatever was killed before.
//
// Stage:   io, internal to io/photo_store.h, whose guarantee it carries.
#pragma once

#include <filesystem>
#include <string>

#include "io/out_folder.h"
#include "io/photo_folder.h"
#include "io/record.h"

namespace underdraw {

// Refuses what is no folder (InputError).
void require_piece_folder(const std::filesystem::path& piece_folder);

class OpenPhotoStore {
 public:
  // Makes photos/ and record.db when they are missing, and finishes what was promised.
  OpenPhotoStore(const std::filesystem::path& piece_folder, const Notice& notice);

  const PhotoFolder& folder() const { return folder_; }
  const Record& record() const { return record_; }

  // "20260503-141522-drawn-3fa9c1d2.jpg", with -2, -3 … when that is taken.
  std::string free_name(const PhotoRow& row) const;
  // Gives the row's copy its name, or another one should it be taken meanwhile. Not flushed.
  void put_in_place(PhotoRow row) const;

 private:
  void finish_promises() const;

  PhotoFolder folder_;
  FolderLock lock_;
  Record record_;
};

}  // namespace underdraw
