#include "io/open_photo_store.h"

#include <fmt/format.h>

#include "core/error.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

const char* ending_of(PageKind kind) {
  if (kind == PageKind::png) return ".png";
  return kind == PageKind::heic ? ".heic" : ".jpg";
}

// "2026-05-03T14:15:22+02:00" as "20260503-141522".
std::string compact(const std::string& time) {
  std::string text;
  for (const char c : time.substr(0, 19)) {
    if (c == 'T') text += '-';
    if (c >= '0' && c <= '9') text += c;
  }
  return text;
}

}  // namespace

void require_piece_folder(const fs::path& piece_folder) {
  std::error_code error;
  const fs::file_status status = fs::status(piece_folder, error);
  if (fs::is_directory(status)) return;
  throw InputError({.file = piece_folder.string(),
                    .line = {},
                    .found = fs::exists(status) ? "is not a folder" : "not found",
                    .expected = "a piece folder",
                    .remedy = "check the name, or make one with underdraw new"});
}

OpenPhotoStore::OpenPhotoStore(const fs::path& piece_folder, const Notice& notice)
    : folder_(piece_folder), lock_(folder_.path(), notice), record_(piece_folder) {
  finish_promises();
}

void OpenPhotoStore::finish_promises() const {
  for (PhotoRow row : record_.photos()) {
    if (row.state == PhotoState::kept) continue;
    const bool in_place = folder_.holds(row.name, row.checksum);
    if (in_place || folder_.holds(row.copy_name, row.checksum)) {
      put_in_place(row);
      folder_.flush();
      record_.mark_kept(row.id);
    } else if (row.state == PhotoState::returning) {
      record_.mark_kept(row.id);  // it was once: verify says what has become of it
    } else if (lock_.held()) {
      record_.forget_promise(row.id);
    }
  }
  if (!lock_.held()) return;  // they might be another command's
  for (const std::string& copy : folder_.copies()) folder_.remove_copy(copy);
}

std::string OpenPhotoStore::free_name(const PhotoRow& row) const {
  const std::string stem = fmt::format("{}-{}-{}",
                                       compact(row.facts.taken_at.value_or(row.added_at)),
                                       row.stage,
                                       row.checksum.substr(0, 8));
  for (int count = 1;; ++count) {
    const std::string name = count == 1
                                 ? stem + ending_of(row.facts.kind)
                                 : fmt::format("{}-{}{}", stem, count, ending_of(row.facts.kind));
    if (!folder_.has(name) && !record_.has_photo_name(name)) return name;
  }
}

void OpenPhotoStore::put_in_place(PhotoRow row) const {
  while (!folder_.holds(row.name, row.checksum)) {
    if (folder_.put_in_place(row.copy_name, row.name)) return;
    row.name = free_name(row);
    record_.set_file(row);
  }
  folder_.remove_copy(row.copy_name);
}

}  // namespace underdraw
