// A folder of the test's own, gone with the object.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <system_error>

namespace underdraw::test {

// In the system's place for temporary files, under a name that nobody can guess, open to its owner
// alone. Throws std::runtime_error when it cannot be made.
class OwnFolder {
 public:
  OwnFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "underdraw-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error(name + ": cannot be made");
    path_ = name;
  }
  ~OwnFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  OwnFolder(const OwnFolder&) = delete;
  OwnFolder& operator=(const OwnFolder&) = delete;

  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace underdraw::test
