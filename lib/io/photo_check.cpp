// Whether kept photos are what they were, and copies of them to hand on; see photo_store.h.
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "core/error.h"
#include "io/open_photo_store.h"
#include "io/photo_metadata.h"
#include "io/photo_store.h"
#include "io/sha256.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

bool exists_as_is(const fs::path& path) {
  std::error_code ignored;
  return fs::exists(fs::symlink_status(path, ignored));
}

std::string shown(const std::string& name) { return "photos/" + name; }

PhotoFinding finding(PhotoProblem problem, const std::string& file, const std::string& text) {
  return {.problem = problem, .file = file, .text = file + ": " + text};
}

// Nothing when the file is as it was kept.
std::optional<PhotoFinding> finding_of(const PhotoFolder& folder, const PhotoRow& row) {
  const std::string again = fmt::format("keep {} again from where it came", row.original_name);
  if (!folder.has(row.name)) {
    return finding(PhotoProblem::missing, shown(row.name), "is missing; " + again);
  }
  const fs::path path = folder.path() / row.name;
  if (!fs::is_regular_file(fs::symlink_status(path))) {
    return finding(PhotoProblem::changed, shown(row.name), "is no file any more; " + again);
  }
  try {
    if (sum_of_file(path).checksum == row.checksum) return {};
  } catch (const InputError& error) {
    return finding(
        PhotoProblem::unreadable, shown(row.name), error.complaint().found + "; " + again);
  }
  return finding(PhotoProblem::changed, shown(row.name), "was changed since it was kept; " + again);
}

std::vector<PhotoFinding> files_without_row(const PhotoFolder& folder,
                                            const std::set<std::string>& known) {
  std::vector<PhotoFinding> findings;
  for (const std::string& name : folder.files()) {
    if (known.contains(name)) continue;
    findings.push_back(finding(PhotoProblem::without_row,
                               shown(name),
                               name.ends_with('/')
                                   ? "is a folder, and not in the record; move it away"
                                   : "is not in the record; keep it where it lies, with its "
                                     "--stage, or move it away"));
  }
  return findings;
}

// "piece/photos" and all in it, however the way there is written.
bool lies_in(const fs::path& target, const fs::path& folder) {
  const fs::path inner = fs::weakly_canonical(target);
  const fs::path outer = fs::weakly_canonical(folder);
  return std::mismatch(outer.begin(), outer.end(), inner.begin(), inner.end()).first == outer.end();
}

std::string checksum_of(const Bytes& bytes) {
  Sha256 sum;
  sum.add(bytes);
  return sum.hex();
}

}  // namespace

VerifyReport verify_photos(const fs::path& piece_folder,
                           const Progress& progress,
                           const Notice& notice) {
  require_piece_folder(piece_folder);
  if (!exists_as_is(Record::path_in(piece_folder)) &&
      !exists_as_is(PhotoFolder::path_in(piece_folder))) {
    return {};
  }
  const OpenPhotoStore store(piece_folder, notice);
  VerifyReport report_;
  const std::string damage = store.record().database().damage();
  if (!damage.empty()) {
    report_.findings.push_back(
        finding(PhotoProblem::record_damaged,
                "record.db",
                fmt::format("is damaged: {}; restore it from a backup", damage)));
  }
  const std::vector<PhotoRow> rows = store.record().photos();
  report_.photos = rows.size();
  std::set<std::string> known;
  for (const PhotoRow& row : rows) {
    report(progress,
           "reading photos",
           static_cast<double>(known.size()) / static_cast<double>(rows.size()));
    known.insert(row.name);
    if (const auto found = finding_of(store.folder(), row)) {
      report_.findings.push_back(*found);
    } else {
      report_.bytes += row.bytes;
    }
  }
  for (PhotoFinding& found : files_without_row(store.folder(), known)) {
    report_.findings.push_back(std::move(found));
  }
  return report_;
}

ExportReport export_photos(const fs::path& piece_folder,
                           const fs::path& target,
                           Overwrite overwrite,
                           const Progress& progress,
                           const Notice& notice) {
  const std::vector<PhotoRow> rows = kept_photos(piece_folder, notice);
  if (rows.empty()) {
    throw InputError({.file = piece_folder.string(),
                      .line = {},
                      .found = "keeps no photos yet",
                      .expected = {},
                      .remedy = "keep some first: underdraw keep DIR PHOTO --stage drawn"});
  }
  const fs::path photos = PhotoFolder::path_in(piece_folder);
  if (lies_in(target, photos)) {
    throw OutputError({.file = target.string(),
                       .line = {},
                       .found = "is the folder of the originals",
                       .expected = "a folder of its own for the copies",
                       .remedy = "name another folder"});
  }
  ExportReport made;
  OutFiles files(target, overwrite, notice);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const PhotoRow& row = rows[i];
    report(progress, "exporting", static_cast<double>(i) / static_cast<double>(rows.size()));
    const std::string path = (photos / row.name).string();
    try {
      const Bytes original = read_photo_bytes(path);
      if (checksum_of(original) != row.checksum) {
        made.left_out.push_back(path + ": was changed since it was kept; it is left out");
        continue;
      }
      const Bytes copy = photo_for_export(row.facts.kind, original, row.facts.orientation, path);
      files.write(row.name, {reinterpret_cast<const char*>(copy.data()), copy.size()});
      made.files.push_back((target / row.name).string());
    } catch (const InputError& error) {
      made.left_out.push_back(fmt::format("{}: {}; it is left out", path, error.complaint().found));
    }
  }
  if (!made.files.empty()) files.publish();
  return made;
}

}  // namespace underdraw
