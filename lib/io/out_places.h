// Files for several folders, put in their place together.
//
// Stage:   io.
// Refuses: what OutFiles refuses.
#pragma once

#include <filesystem>
#include <map>
#include <mutex>
#include <string_view>

#include "io/out_folder.h"

namespace underdraw {

// Every folder is made when it is missing and locked once, however its name is spelled: two
// OutFiles of one folder would wait for each other. May be used from several threads.
class OutPlaces {
 public:
  explicit OutPlaces(Overwrite overwrite, Notice notice = {})
      : overwrite_(overwrite), notice_(std::move(notice)) {}

  void write(const std::filesystem::path& path, std::string_view content);
  // A folder at a time. Names that are taken were refused when they were written.
  void publish();

 private:
  Overwrite overwrite_;
  Notice notice_;
  std::mutex mutex_;
  std::map<std::filesystem::path, OutFiles> places_;
};

}  // namespace underdraw
