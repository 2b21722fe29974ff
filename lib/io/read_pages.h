// Reads scanned and photographed pages: PNG, JPEG, TIFF, PDF, HEIC/HEIF.
//
// Stage:   io. Reads files; writes nothing.
// In/out:  a file, told by its content and not by its name -> upright 8-bit grey pages with their
//          resolution (frame: see scan/page.h). Colour becomes luma (Rec. 601 weights), alpha is
//          laid on white paper, 16 bits are scaled to 8. The colours themselves are kept at 150
//          dpi. EXIF and TIFF orientation is applied.
// Refuses: with one InputError that names the file, what was found and what to do:
//          - what is missing, empty, damaged, cut short, password-protected or of another kind;
//          - sides of 60,000 px or more, pages above 400 megapixels (both from the header alone),
//            files of more than 1000 pages;
//          - a resolution that is not stated, is below 50 or above 2400 dpi, or differs by more
//            than 2 : 1 between across and down;
//          - a page with a side above 1.3 m (A0 is 1.189 m): phones write 72 dpi whatever they
//            photograph, which would make a sheet of A4 a metre and a half high. EXIF says 72 dpi
//            when the resolution is unknown (CIPA DC-008, tag XResolution), so there it counts as
//            not stated.
// Memory:  PNG, JPEG (not progressive) and TIFF are read row by row into the grey page and its
//          colours.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "scan/page.h"

namespace underdraw {

struct ReadOptions {
  // Overrides the resolution that the file states; [50, 2400]. For a PDF, whose pages have a size
  // in themselves, it is the resolution that they are rendered at.
  std::optional<double> dpi = {};

  void validate() const;  // throws OptionError
};

// Size and resolution of a page that read() would return.
struct PageSize {
  int width_px = 0;
  int height_px = 0;
  double px_per_mm_x = 0.0;
  double px_per_mm_y = 0.0;

  double width_mm() const { return width_px / px_per_mm_x; }
  double height_mm() const { return height_px / px_per_mm_y; }
};

// A file of pages. Copies are cheap; different pages may be read from several threads at once.
//
// A PDF page that is nothing but one image is read at exactly that image's pixels, any other one
// is rendered at 600 dpi.
class PageFile {
 public:
  // Reads the headers of all pages and decodes none. Throws InputError.
  static PageFile open(const std::string& path, const ReadOptions& options = {});

  const std::string& path() const;
  std::string kind() const;  // "PNG", "JPEG", "TIFF", "PDF" or "HEIC"
  int page_count() const;

  // Both are 1-based and refuse the same pages; size() decodes nothing, so it can be asked before
  // any work begins. Throws InputError.
  PageSize size(int number) const;
  Page read(int number) const;

  // The same, but a resolution that size() would refuse is left at 0: something on the page may
  // tell it. check() decodes nothing.
  void check(int number) const;
  Page read_pixels(int number) const;

 private:
  struct Contents;
  explicit PageFile(std::shared_ptr<const Contents> contents);
  std::shared_ptr<const Contents> contents_;
};

}  // namespace underdraw
