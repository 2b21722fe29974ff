#include "io/photo_folder.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <functional>
#include <random>
#include <span>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "core/error.h"
#include "io/out_folder.h"
#include "io/page_reader.h"
#include "io/sha256.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr std::string_view kCopy = ".underdraw-keeping-";

using Piece = std::span<const std::uint8_t>;

// Reads a file once, piece by piece.
FileSum read_through(const fs::path& path, const std::function<void(Piece)>& each) {
  const FileHandle file = open_page_file(path.string());
  std::vector<std::uint8_t> buffer(std::size_t{1} << 17U);
  Sha256 sum;
  FileSum result;
  while (const std::size_t got = std::fread(buffer.data(), 1, buffer.size(), file.get())) {
    const Piece piece(buffer.data(), got);
    sum.add(piece);
    result.bytes += static_cast<std::int64_t>(got);
    each(piece);
  }
  if (std::ferror(file.get()) != 0) {
    throw damaged_page_file(path.string(), "photo", "it cannot be read");
  }
  result.checksum = sum.hex();
  return result;
}

class NewFile {
 public:
  NewFile(fs::path path, fs::path shown) : path_(std::move(path)), shown_(std::move(shown)) {
    handle_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (handle_ < 0) refuse_write(shown_, errno);
  }
  ~NewFile() {
    ::close(handle_);
    if (!finished_) ::unlink(path_.c_str());
  }
  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;

  void write(Piece piece) const {
    while (!piece.empty()) {
      const ssize_t written = ::write(handle_, piece.data(), piece.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) refuse_write(shown_, errno);
      piece = piece.subspan(static_cast<std::size_t>(written));
    }
  }
  void finish() {
    if (::fsync(handle_) != 0) refuse_write(shown_, errno);
    finished_ = true;
  }

 private:
  fs::path path_;
  fs::path shown_;
  int handle_ = -1;
  bool finished_ = false;
};

fs::path made(const fs::path& folder) {
  std::error_code error;
  fs::create_directory(folder, error);
  const fs::file_status status = fs::symlink_status(folder, error);
  if (fs::is_directory(status)) return folder;
  if (!fs::exists(status)) refuse_write(folder, error ? error.value() : ENOENT);
  throw OutputError({.file = folder.string(),
                     .line = {},
                     .found = fs::is_symlink(status) ? "is a link" : "is a file",
                     .expected = "a folder, or nothing",
                     .remedy = "move it away; the command makes the folder itself"});
}

}  // namespace

FileSum sum_of_file(const fs::path& path) {
  return read_through(path, [](Piece) {});
}

fs::path PhotoFolder::path_in(const fs::path& piece_folder) { return piece_folder / "photos"; }

PhotoFolder::PhotoFolder(const fs::path& piece_folder) : path_(made(path_in(piece_folder))) {
  flush_to_disk(piece_folder, piece_folder);
}

bool PhotoFolder::has(const std::string& name) const {
  std::error_code ignored;
  return fs::exists(fs::symlink_status(path_ / name, ignored));
}

bool PhotoFolder::holds(const std::string& name, const std::string& checksum) const {
  std::error_code ignored;
  const fs::path path = path_ / name;
  if (name.empty() || !fs::is_regular_file(fs::symlink_status(path, ignored))) return false;
  return sum_of_file(path).checksum == checksum;
}

std::string PhotoFolder::copy_in(const fs::path& source, const FileSum& sum) const {
  std::random_device random;
  const std::string name = fmt::format("{}{:08x}{:08x}", kCopy, random(), random());
  NewFile copy(path_ / name, path_ / source.filename());
  const FileSum copied = read_through(source, [&](Piece piece) { copy.write(piece); });
  if (copied.checksum != sum.checksum) {
    throw InputError({.file = source.string(),
                      .line = {},
                      .found = "changed while it was being kept",
                      .expected = {},
                      .remedy = "wait until it is copied from the camera, then keep it again"});
  }
  copy.finish();
  return name;
}

bool PhotoFolder::put_in_place(const std::string& copy_name, const std::string& name) const {
  const fs::path from = path_ / copy_name;
  const fs::path to = path_ / name;
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return true;
  if (errno == EEXIST) return false;
  if (errno != EINVAL && errno != ENOSYS && errno != ENOTSUP) refuse_write(to, errno);
  // Disks that cannot do it in one step: a second name, which never replaces one, then one less.
  if (::link(from.c_str(), to.c_str()) == 0) {
    remove_copy(copy_name);
    return true;
  }
  if (errno == EEXIST) return false;
  if (errno != EPERM && errno != ENOTSUP && errno != ENOSYS) refuse_write(to, errno);
  // Nor a second name (memory cards): the folder's lock keeps other commands away meanwhile.
  if (has(name)) return false;
  if (::rename(from.c_str(), to.c_str()) != 0) refuse_write(to, errno);
  return true;
}

void PhotoFolder::remove_copy(const std::string& copy_name) const {
  if (copy_name.starts_with(kCopy)) ::unlink((path_ / copy_name).c_str());
}

void PhotoFolder::flush() const { flush_to_disk(path_, path_); }

std::vector<std::string> PhotoFolder::copies() const {
  std::vector<std::string> names;
  for (const fs::directory_entry& entry : fs::directory_iterator(path_)) {
    const std::string name = entry.path().filename().string();
    if (name.starts_with(kCopy)) names.push_back(name);
  }
  return names;
}

std::vector<std::string> PhotoFolder::files() const {
  std::vector<std::string> names;
  for (const fs::directory_entry& entry : fs::directory_iterator(path_)) {
    const std::string name = entry.path().filename().string();
    if (name.starts_with(kCopy)) continue;
    names.push_back(entry.is_directory() && !entry.is_symlink() ? name + "/" : name);
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace underdraw
