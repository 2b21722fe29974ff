// Refuses a photo, in the words that the person reads.
//
// Stage: photo, internal to it and to the recover stage.
#pragma once

#include <string>
#include <utility>

#include "core/error.h"

namespace underdraw {

[[noreturn]] inline void refuse_photo(const std::string& photo,
                                      std::string found,
                                      std::string expected,
                                      std::string remedy) {
  throw InputError({.file = photo,
                    .line = {},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .remedy = std::move(remedy)});
}

}  // namespace underdraw
