// The files of a piece's `photos/`: copied in under a hidden name, then put in their place without
// ever replacing one.
//
// Stage:   io, internal to it. Linux: renameat2.
// Refuses: a `photos` that is a file or a link, a disk that is full or cannot be written
//          (OutputError); a file that cannot be read (InputError).
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace underdraw {

struct FileSum {
  std::string checksum;  // SHA-256, 64 lower-case hexadecimal digits
  std::int64_t bytes = 0;
};

FileSum sum_of_file(const std::filesystem::path& path);  // throws InputError

class PhotoFolder {
 public:
  static std::filesystem::path path_in(const std::filesystem::path& piece_folder);

  // Made when it is missing.
  explicit PhotoFolder(const std::filesystem::path& piece_folder);

  const std::filesystem::path& path() const { return path_; }
  bool has(const std::string& name) const;                                 // whatever it is
  bool holds(const std::string& name, const std::string& checksum) const;  // that very file

  // Copied and flushed to the disk under a hidden name, which is returned. `sum` is what was read
  // earlier: a file that changed since then is refused (InputError).
  std::string copy_in(const std::filesystem::path& source, const FileSum& sum) const;
  // False when `name` is taken; then nothing has changed.
  bool put_in_place(const std::string& copy_name, const std::string& name) const;
  void remove_copy(const std::string& copy_name) const;
  void flush() const;

  std::vector<std::string> copies() const;  // hidden, of commands at work or killed
  std::vector<std::string> files() const;   // all others, sorted; folders end in "/"

 private:
  std::filesystem::path path_;
};

}  // namespace underdraw
