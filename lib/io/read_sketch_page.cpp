#include "io/read_sketch_page.h"

#include "core/error.h"
#include "photo/flatten_sheet.h"

namespace underdraw {

SketchPage read_sketch_page(const PageFile& file, int number) {
  SketchPage out;
  out.page = file.read_pixels(number);
  const std::optional<FoundSheet> found = find_drawing_sheet(out.page.grey, file.path());
  if (!found) {
    file.size(number);  // refuses when it is not known
    return out;
  }
  FlatSheet flat = flatten_sheet(out.page, *found);
  out.page = std::move(flat.page);
  out.sheet = found->sheet;
  out.warnings = std::move(flat.warnings);
  return out;
}

void require_resolution(const PageFile& file, int number) {
  try {
    file.size(number);
  } catch (const InputError&) {
    if (!find_drawing_sheet(file.read_pixels(number).grey, file.path())) throw;
  }
}

}  // namespace underdraw
