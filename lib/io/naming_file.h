// What a pure stage refuses, told with the file that asked for it.
//
// Stage:   io. Internal to the chains.
#pragma once

#include <filesystem>

#include "core/error.h"

namespace underdraw {

// The stages know numbers and lines; which file they came from is known here.
template <typename Work>
auto naming_file(const std::filesystem::path& file, Work work) {
  try {
    return work();
  } catch (const GeometryError& error) {
    Complaint complaint = error.complaint();
    if (complaint.file.empty()) complaint.file = file.string();
    throw GeometryError(complaint);
  }
}

}  // namespace underdraw
