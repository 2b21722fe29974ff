// Tells what a file is from its first bytes, whatever its name ends in.
//
// Stage:   io, internal to it.
// Refuses: what is missing, unreadable, empty, no file, or none of the formats that hold pages
//          (InputError says what it seems to be).
// Source:  the signatures are those of the formats' own specifications.
#pragma once

#include <string>

namespace underdraw {

enum class PageKind { png, jpeg, tiff, pdf, heic };

std::string name_of(PageKind kind);  // "PNG"

PageKind sniff_page_kind(const std::string& path);

}  // namespace underdraw
