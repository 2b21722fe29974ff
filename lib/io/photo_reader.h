// Opens a photo: told by its content, its header found acceptable, nothing decoded yet.
//
// Stage:   io, internal to it.
// Refuses: what is no JPEG, PNG or HEIC, missing or empty, sides of 60,000 px or more, above 400
//          megapixels (InputError).
#pragma once

#include <memory>
#include <string>

#include "core/error.h"
#include "io/page_kind.h"
#include "io/page_reader.h"

namespace underdraw {

struct OpenPhoto {
  PageKind kind = PageKind::jpeg;
  std::unique_ptr<PageReader> reader;
  PageHeader header;  // of its first picture
};

OpenPhoto open_photo(const std::string& path);

// What the page readers say of damage, in words about photos.
Complaint photo_complaint(Complaint complaint);

template <typename Work>
auto speaking_of_photos(Work work) {
  try {
    return work();
  } catch (const InputError& error) {
    throw InputError(photo_complaint(error.complaint()));
  }
}

}  // namespace underdraw
