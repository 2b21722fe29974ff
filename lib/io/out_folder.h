// Puts finished files in their place all at once, or leaves everything as it was.
//
// Stage:   io. Linux: flock, renameat2.
// Guarantee: `out/` always holds the result of one command, never a mix of two runs and never half
//          of one. A run that fails, is killed or finds the disk full leaves the last good `out/`.
// How:     files are made in a hidden folder beside `out/`, flushed to the disk, and the two are
//          exchanged in one step. The piece folder is locked meanwhile, so a second command waits.
// Refuses: an `out` that is a file or a link, a folder that cannot be written, a full disk, an
//          existing file without Overwrite::yes (OutputError).
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace underdraw {

// Given one line for the person when something must be waited for.
using Notice = std::function<void(const std::string& line)>;

// Holds a folder for one command at a time: a second one waits, and says so after a second. Where
// the disk knows no locks (some network disks) it goes on without.
class FolderLock {
 public:
  FolderLock(const std::filesystem::path& folder, const Notice& notice);
  ~FolderLock();
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;

  bool held() const { return held_; }

 private:
  int handle_ = -1;
  bool held_ = false;
};

// A hidden folder of unguessable name inside `parent`; removed with all that is in it at the end.
// Complaints name its files by the folder `meant` that they are for.
class StagingFolder {
 public:
  StagingFolder(const std::filesystem::path& parent, std::filesystem::path meant);
  ~StagingFolder();
  StagingFolder(const StagingFolder&) = delete;
  StagingFolder& operator=(const StagingFolder&) = delete;

  const std::filesystem::path& path() const { return path_; }
  // Where to write the file `name` ("motifs/kelp.svg"); folders on the way are made.
  std::filesystem::path path_for(const std::filesystem::path& name) const;
  void write(const std::filesystem::path& name, std::string_view content) const;
  // Flushes every file and folder in it to the disk.
  void flush() const;

 private:
  std::filesystem::path path_;
  std::filesystem::path meant_;
};

struct OutFolderOptions {
  // Exchange old and new in one step. False takes the way for disks that cannot: two renames, with
  // the old folder put back by the next command should the machine stop between them.
  bool exchange = true;
};

// `out/` of a piece folder, made anew.
class OutFolder {
 public:
  // Locks the folder, clears what killed runs left, and refuses at once what could not be published
  // later.
  explicit OutFolder(const std::filesystem::path& piece_folder,
                     const Notice& notice = {},
                     const OutFolderOptions& options = {});

  std::filesystem::path path_for(const std::filesystem::path& name) const {
    return staging_.path_for(name);
  }
  void write(const std::filesystem::path& name, std::string_view content) const {
    staging_.write(name, content);
  }
  // For a command that adds to what another made: takes over what is in `out/` now, as it is, but
  // for the files and folders of these names there ("redraw.pdf", "overlays"), which are this
  // command's own. Files that were written already stay.
  void take_over_all_but(const std::vector<std::string>& names) const;
  // Replaces `out/` by what was written. Without it, nothing changes.
  void publish();

 private:
  std::filesystem::path out_;
  OutFolderOptions options_;
  FolderLock lock_;
  StagingFolder staging_;
};

// Says why a file or folder could not be written, from the system's errno (OutputError).
[[noreturn]] void refuse_write(const std::filesystem::path& path, int error);

// Has the disk take the file or folder; a complaint calls it `shown`.
void flush_to_disk(const std::filesystem::path& path, const std::filesystem::path& shown);

// Refuses a name that cannot be a file's: empty, with a slash or an unprintable byte, beginning
// with a dot, longer than 200 bytes (InputError).
void require_file_name(const std::string& name);

enum class Overwrite { no, yes };

// Refuses a path that exists unless it may be overwritten; a folder of that name always.
void require_free(const std::filesystem::path& path, Overwrite overwrite);

// A folder, made with those above it when they are missing. Unless it is kept, what was made is
// removed again at the end if nothing lies in it.
class MadeFolder {
 public:
  explicit MadeFolder(const std::filesystem::path& folder);
  ~MadeFolder();
  MadeFolder(const MadeFolder&) = delete;
  MadeFolder& operator=(const MadeFolder&) = delete;

  const std::filesystem::path& path() const { return path_; }
  void keep() { made_.clear(); }

 private:
  std::filesystem::path path_;
  std::vector<std::filesystem::path> made_;  // the innermost first
};

// Files outside a piece folder: made beside their place, then moved there. Either all names are
// free (or may be overwritten) and all are written, or none is touched.
class OutFiles {
 public:
  // The folder is made when it is missing, and gone again unless something is published.
  OutFiles(const std::filesystem::path& folder, Overwrite overwrite, const Notice& notice = {});

  std::filesystem::path path_for(const std::filesystem::path& name);  // a plain file name
  void write(const std::filesystem::path& name, std::string_view content);
  void publish();

 private:
  MadeFolder made_;
  std::filesystem::path folder_;
  Overwrite overwrite_;
  FolderLock lock_;
  StagingFolder staging_;
  std::vector<std::filesystem::path> names_;
};

// One file, complete or not at all.
void write_file(const std::filesystem::path& path, std::string_view content, Overwrite overwrite);

}  // namespace underdraw
