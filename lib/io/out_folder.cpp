#include "io/out_folder.h"

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <random>
#include <thread>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/error.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr std::string_view kMaking = ".underdraw-making-";
constexpr std::string_view kBefore = ".underdraw-before-";
constexpr std::chrono::seconds kSilentWait{1};

// Closes what it opened.
class Handle {
 public:
  explicit Handle(int number) : number_(number) {}
  ~Handle() {
    if (number_ >= 0) ::close(number_);
  }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  int get() const { return number_; }
  bool ok() const { return number_ >= 0; }

 private:
  int number_;
};

std::string unguessable() {
  std::random_device random;
  return fmt::format("{:08x}{:08x}", random(), random());
}

fs::path make_hidden(const fs::path& parent) {
  for (int attempt = 0; attempt < 8; ++attempt) {
    const fs::path path = parent / (std::string(kMaking) + unguessable());
    if (::mkdir(path.c_str(), 0777) == 0) return path;  // never follows or takes what is there
    if (errno != EEXIST) refuse_write(parent, errno);
  }
  refuse_write(parent, EEXIST);
}

// Of the name itself, links not followed.
fs::file_status status_of(const fs::path& path) {
  std::error_code error;
  const fs::file_status status = fs::symlink_status(path, error);
  if (!fs::status_known(status)) refuse_write(path, error.value());
  return status;
}

bool exists_as_is(const fs::path& path) { return fs::exists(status_of(path)); }

// The folder, without what killed commands left in it. Only under the lock: nobody else can be at
// work then.
const fs::path& swept(const fs::path& folder, const FolderLock& lock) {
  if (!lock.held()) return folder;
  std::error_code ignored;
  std::vector<fs::path> stale;
  for (fs::directory_iterator it(folder, ignored), end; !ignored && it != end;
       it.increment(ignored)) {
    const std::string name = it->path().filename().string();
    if (!fs::is_directory(it->symlink_status(ignored))) continue;
    if (name.starts_with(kBefore) && !exists_as_is(folder / "out")) {
      // Stopped between two renames: the last good output goes back to its place.
      fs::rename(it->path(), folder / "out", ignored);
    } else if (name.starts_with(kMaking) || name.starts_with(kBefore)) {
      stale.push_back(it->path());
    }
  }
  for (const fs::path& path : stale) fs::remove_all(path, ignored);
  return folder;
}

fs::path checked_out(const fs::path& piece_folder) {
  const fs::path out = piece_folder / "out";
  const fs::file_status status = status_of(out);
  if (!fs::exists(status) || fs::is_directory(status)) return out;
  throw OutputError({.file = out.string(),
                     .line = {},
                     .found = fs::is_symlink(status) ? "is a link" : "is a file",
                     .expected = "a folder, or nothing",
                     .remedy = "move it away; the command makes the folder itself"});
}

// The innermost first; what is not empty stays, and so does all above it.
void remove_empty(const std::vector<fs::path>& folders) {
  for (const fs::path& folder : folders) {
    if (::rmdir(folder.c_str()) != 0) return;
  }
}

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

void write_bytes(const fs::path& path, std::string_view content) {
  const Handle file(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
  if (!file.ok()) refuse_write(path, errno);
  while (!content.empty()) {
    const ssize_t written = ::write(file.get(), content.data(), content.size());
    if (written < 0) {
      if (errno == EINTR) continue;
      refuse_write(path, errno);
    }
    content.remove_prefix(static_cast<std::size_t>(written));
  }
}

}  // namespace

void refuse_write(const fs::path& path, int error) {
  Complaint complaint{.file = path.string(), .line = {}, .found = {}, .expected = {}, .remedy = {}};
  switch (error) {
    case ENOSPC:
    case EDQUOT:
      complaint.found = "cannot be written, the disk is full";
      complaint.remedy = "free some space and run it again; what was there before is untouched";
      break;
    case EFBIG:
      complaint.found = "cannot be written, it is larger than a file may be here";
      complaint.remedy = "write to another disk or ask for a higher limit";
      break;
    case EROFS:
      complaint.found = "cannot be written, the disk is read-only";
      complaint.remedy = "copy the folder to a disk that can be written";
      break;
    case EACCES:
    case EPERM:
      complaint.found = "cannot be written, this user has no permission";
      complaint.remedy = "give yourself write permission to the folder, or write to another one";
      break;
    case ENOENT:
      complaint.found = "cannot be written, the folder does not exist";
      complaint.remedy = "make the folder or name another one";
      break;
    case ENOTDIR:
      complaint.found = "cannot be written, a part of the path is not a folder";
      complaint.remedy = "name a folder";
      break;
    case ENAMETOOLONG:
      complaint.found = "cannot be written, the name is too long for the disk";
      complaint.remedy = "choose a shorter name";
      break;
    default:
      complaint.found = fmt::format("cannot be written, {}", std::strerror(error));
      complaint.remedy = "check the disk and run it again; what was there before is untouched";
  }
  throw OutputError(complaint);
}

void flush_to_disk(const fs::path& path, const fs::path& shown) {
  const Handle file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (!file.ok()) refuse_write(shown, errno);
  // Some disks cannot flush a folder and say EINVAL; the file's own flush has been done then.
  if (::fsync(file.get()) != 0 && errno != EINVAL) refuse_write(shown, errno);
}

FolderLock::FolderLock(const fs::path& folder, const Notice& notice) {
  handle_ = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle_ < 0) refuse_write(folder, errno);
  const auto start = std::chrono::steady_clock::now();
  bool said = false;
  while (::flock(handle_, LOCK_EX | LOCK_NB) != 0) {
    if (errno == EINTR) continue;
    if (errno != EWOULDBLOCK) return;  // no locks on this disk
    if (!said && std::chrono::steady_clock::now() - start >= kSilentWait) {
      said = true;
      if (notice) {
        notice(fmt::format("{}: another command is at work in this folder; waiting for it",
                           folder.string()));
      }
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  held_ = true;
}

FolderLock::~FolderLock() {
  if (handle_ >= 0) ::close(handle_);  // gives the lock back
}

StagingFolder::StagingFolder(const fs::path& parent, fs::path meant)
    : path_(make_hidden(parent)), meant_(std::move(meant)) {}

StagingFolder::~StagingFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

fs::path StagingFolder::path_for(const fs::path& name) const {
  const fs::path full = path_ / name;
  std::error_code error;
  fs::create_directories(full.parent_path(), error);
  if (error) refuse_write(meant_ / name, error.value());
  return full;
}

void StagingFolder::write(const fs::path& name, std::string_view content) const {
  try {
    write_bytes(path_for(name), content);
  } catch (const OutputError& error) {
    // The person knows the file by its own name, not by the hidden folder's.
    Complaint complaint = error.complaint();
    complaint.file = (meant_ / name).string();
    throw OutputError(complaint);
  }
}

void StagingFolder::flush() const {
  std::error_code error;
  for (fs::recursive_directory_iterator it(path_, error), end; !error && it != end;
       it.increment(error)) {
    flush_to_disk(it->path(), meant_ / it->path().lexically_relative(path_));
  }
  if (error) refuse_write(meant_, error.value());
  flush_to_disk(path_, meant_);
}

OutFolder::OutFolder(const fs::path& piece_folder,
                     const Notice& notice,
                     const OutFolderOptions& options)
    : out_(checked_out(piece_folder)),
      options_(options),
      lock_(piece_folder, notice),
      staging_(swept(piece_folder, lock_), out_) {}

void OutFolder::take_over_all_but(const std::vector<std::string>& names) const {
  if (!exists_as_is(out_)) return;
  std::error_code error;
  for (fs::recursive_directory_iterator it(out_, error), end; !error && it != end;
       it.increment(error)) {
    const fs::path name = it->path().lexically_relative(out_);
    if (std::find(names.begin(), names.end(), name.begin()->string()) != names.end()) {
      it.disable_recursion_pending();
      continue;
    }
    const fs::path to = staging_.path() / name;
    if (it->is_symlink()) {
      fs::copy_symlink(it->path(), to, error);
    } else if (it->is_directory()) {
      fs::create_directories(to, error);
    } else if (!exists_as_is(to)) {
      // A second name for the same file costs nothing; some disks know none.
      fs::create_hard_link(it->path(), to, error);
      if (error) {
        error.clear();
        fs::copy_file(it->path(), to, error);
      }
    }
    if (error) refuse_write(out_ / name, error.value());
  }
  if (error) refuse_write(out_, error.value());
}

void OutFolder::publish() {
  const fs::path parent = folder_of(out_);
  const fs::path& staged = staging_.path();
  staging_.flush();
  checked_out(parent);
  if (!exists_as_is(out_)) {
    if (::rename(staged.c_str(), out_.c_str()) != 0) refuse_write(out_, errno);
  } else if (!options_.exchange ||
             ::renameat2(AT_FDCWD, staged.c_str(), AT_FDCWD, out_.c_str(), RENAME_EXCHANGE) != 0) {
    if (options_.exchange && errno != EINVAL && errno != ENOSYS && errno != ENOTSUP) {
      refuse_write(out_, errno);
    }
    const fs::path before = parent / (std::string(kBefore) + unguessable());
    if (::rename(out_.c_str(), before.c_str()) != 0) refuse_write(out_, errno);
    if (::rename(staged.c_str(), out_.c_str()) != 0) {
      const int error = errno;
      if (::rename(before.c_str(), out_.c_str()) != 0) {
        throw OutputError({.file = out_.string(),
                           .line = {},
                           .found = fmt::format("could not be replaced, {}", std::strerror(error)),
                           .expected = {},
                           .remedy = "the last good output is in " + before.string()});
      }
      refuse_write(out_, error);
    }
    std::error_code ignored;  // the next command sweeps what stays
    fs::remove_all(before, ignored);
  }
  flush_to_disk(parent, parent);
}

void require_file_name(const std::string& name) {
  constexpr std::size_t kLongest = 200;  // disks allow 255, and endings join it
  const auto unprintable = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
  const char* wrong = nullptr;
  if (name.empty())
    wrong = "is empty";
  else if (name.front() == '.')
    wrong = "begins with a dot";
  else if (name.find('/') != std::string::npos)
    wrong = "has a slash in it";
  else if (std::any_of(name.begin(), name.end(), unprintable))
    wrong = "has an unprintable letter";
  else if (name.size() > kLongest)
    wrong = "is too long";
  if (wrong == nullptr) return;
  throw InputError({.file = {},
                    .line = {},
                    .found = fmt::format("the name \"{}\" {}", name, wrong),
                    .expected = "a name that a file can have",
                    .remedy = "choose another name"});
}

void require_free(const fs::path& path, Overwrite overwrite) {
  const fs::file_status status = status_of(path);
  if (!fs::exists(status)) return;
  if (fs::is_directory(status)) {
    throw OutputError({.file = path.string(),
                       .line = {},
                       .found = "is a folder",
                       .expected = "the name of a file",
                       .remedy = "choose another name"});
  }
  if (overwrite == Overwrite::yes) return;
  throw OutputError({.file = path.string(),
                     .line = {},
                     .found = "exists already",
                     .expected = {},
                     .remedy = "choose another name, or pass --overwrite to replace it"});
}

MadeFolder::MadeFolder(const fs::path& folder) : path_(folder) {
  std::error_code error;
  for (fs::path at = folder; !at.empty() && !fs::exists(fs::symlink_status(at, error));
       at = at.parent_path()) {
    if (at.has_filename()) made_.push_back(at);
  }
  fs::create_directories(folder, error);
  std::error_code ignored;
  if (!error || fs::is_directory(folder, ignored)) return;
  const int reason = exists_as_is(folder) ? ENOTDIR : error.value();
  remove_empty(made_);
  refuse_write(folder, reason);
}

MadeFolder::~MadeFolder() { remove_empty(made_); }

OutFiles::OutFiles(const fs::path& folder, Overwrite overwrite, const Notice& notice)
    : made_(folder),
      folder_(folder == "." ? fs::path() : folder),
      overwrite_(overwrite),
      lock_(folder, notice),
      staging_(swept(folder, lock_), folder_) {}

fs::path OutFiles::path_for(const fs::path& name) {
  require_free(folder_ / name, overwrite_);
  names_.push_back(name);
  return staging_.path_for(name);
}

void OutFiles::write(const fs::path& name, std::string_view content) {
  require_free(folder_ / name, overwrite_);
  names_.push_back(name);
  staging_.write(name, content);
}

void OutFiles::publish() {
  staging_.flush();
  for (const fs::path& name : names_) require_free(folder_ / name, overwrite_);
  for (const fs::path& name : names_) {
    const fs::path from = staging_.path() / name;
    const fs::path to = folder_ / name;
    if (::rename(from.c_str(), to.c_str()) != 0) refuse_write(to, errno);
  }
  made_.keep();
  flush_to_disk(made_.path(), folder_);
}

void write_file(const fs::path& path, std::string_view content, Overwrite overwrite) {
  require_free(path, overwrite);
  OutFiles files(folder_of(path), overwrite);
  files.write(path.filename(), content);
  files.publish();
}

}  // namespace underdraw
