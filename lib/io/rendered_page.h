// A PDF's pages as poppler sees them: pixels and words, for the proofs.
//
// Stage:   io, internal to it.
// In/out:  a PDF in memory; pixels 0 black to 255 white, boxes in mm from the page's top left.
// Refuses: what poppler cannot read or draw (InputError). `file` is only named in complaints.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include <poppler-document.h>
#include <poppler-image.h>
#include <poppler-page.h>

#include "sheet/proof.h"

namespace underdraw {

using PdfDocument = std::unique_ptr<poppler::document>;
using PdfPage = std::unique_ptr<poppler::page>;

constexpr double kMmPerPoint = 25.4 / 72.0;

PdfDocument open_pdf(std::string_view bytes, const std::string& file);

struct RenderedPage {
  poppler::image image;
  GreyView view;  // of the image
};
RenderedPage rendered_page(const poppler::page& page, double dpi, const std::string& file);

std::vector<PrintedWord> words_on(const poppler::page& page);

// The same letter by letter, whatever poppler takes for a word.
std::vector<PrintedWord> letters_on(const poppler::page& page);

// True when the page has this size, and is not turned.
bool page_is(const poppler::page& page, double width_mm, double height_mm);

}  // namespace underdraw
