#include "io/page_reader.h"

#include <cerrno>
#include <cstring>

#include <fmt/format.h>

namespace underdraw {

InputError damaged_page_file(const std::string& path,
                             const std::string& kind,
                             const std::string& details) {
  return InputError({.file = path,
                     .line = {},
                     .found = "is damaged or cut short: " + details,
                     .expected = fmt::format("a whole {} file", kind),
                     .remedy = kind == "PDF"
                                   ? "copy it again from where it came, or print it to a new PDF"
                                   : "copy it again from where it came, or scan it again"});
}

InputError too_many_pages(const std::string& path) {
  return InputError({.file = path,
                     .line = {},
                     .found = fmt::format("has more than {} pages", kMostPagesInFile),
                     .expected = fmt::format("at most {}", kMostPagesInFile),
                     .remedy = "split it into smaller files"});
}

FileHandle open_page_file(const std::string& path) {
  FileHandle file(std::fopen(path.c_str(), "rb"));
  if (file) return file;
  const int reason = errno;
  if (reason == ENOENT || reason == ENOTDIR) {
    throw InputError({.file = path,
                      .line = {},
                      .found = "does not exist",
                      .expected = "a scanned page",
                      .remedy = "check the name and the folder"});
  }
  throw InputError({.file = path,
                    .line = {},
                    .found = fmt::format("cannot be opened: {}", std::strerror(reason)),
                    .expected = "a file that you may read",
                    .remedy = reason == EACCES ? "give yourself permission to read it, or copy it"
                                               : "check the file and its folder"});
}

}  // namespace underdraw
