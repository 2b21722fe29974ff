// A page to be traced: as it was scanned, or laid flat where it is a photo or scan of a drawing
// sheet.
//
// Stage:   io. Reads files; writes nothing.
// In/out:  a page of a file -> pixels with a resolution: a drawing sheet's from its marks, whatever
//          the file says or does not say; any other page's as in read_pages.h.
// Refuses: what reading refuses, where no marks of a drawing sheet are seen; what
//          find_drawing_sheet() refuses (InputError).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/read_pages.h"
#include "photo/drawing_sheet.h"

namespace underdraw {

struct SketchPage {
  Page page;
  std::optional<DrawingSheet> sheet;
  std::vector<std::string> warnings;
};

SketchPage read_sketch_page(const PageFile& file, int number);

// Refuses a page that will be refused for its resolution, at the price of decoding it. A page whose
// resolution is known costs nothing.
void require_resolution(const PageFile& file, int number);

}  // namespace underdraw
