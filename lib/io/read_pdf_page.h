// PDF pages: sizes and embedded images through qpdf, everything else rendered by poppler.
//
// Stage:   io, internal to it.
// In/out:  the visible box (CropBox within MediaBox) with Rotate and UserUnit. A page that is
//          nothing but one image of 50 to 2400 dpi gives exactly that image's pixels, and the
//          image's own box is the page; any other page is rendered at 600 dpi, antialiased. A
//          given dpi is the rendering resolution of all pages; sizes stay true.
// Refuses: damaged files (no repair is tried: what is missing might be lines), password-protected
//          files (those that open without one are read), files without pages.
// Source:  ISO 32000-1, 7.7.3.3 (page objects), 14.11.2 (page boxes), 8.9.5 (images).
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "io/page_reader.h"

namespace underdraw {

std::unique_ptr<PageReader> open_pdf(const std::string& path,
                                     std::optional<double> dpi);  // throws InputError

}  // namespace underdraw
