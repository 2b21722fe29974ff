// What the system says when it cannot even look at a file or folder, in words that a person can act
// on.
//
// Stage:   io. Pure.
// Source:  POSIX.1-2017, XSH 2.3 (error numbers).
#pragma once

#include <filesystem>

#include "core/error.h"

namespace underdraw {

InputError disk_refusal(const std::filesystem::filesystem_error& error);

}  // namespace underdraw
