// Drawings as PDF or PNG, by Cairo and qpdf; svg_drawing.h writes SVG.
//
// Stage:   io. Bytes come back; out_folder.h puts them in their place.
// In/out:  Drawing in mm; PDF points and pixels exist only in here. Page sizes are never rounded.
//          A PDF for a printer holds its pages scaled so that the print is true; pictures and
//          files for cutters are always true themselves.
// Writes:  PDF 1.7 with fonts embedded, TrimBox, and viewer preferences that ask for no scaling
//          (ISO 32000-1, 12.2 and 14.11.2; Enforce from ISO 32000-2). The same input gives the
//          same bytes.
// Refuses: a machine without the font (OutputError names the package), sizes beyond Cairo's.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sheet/drawing.h"
#include "sheet/printer_correction.h"

namespace underdraw {

struct Attachment {
  std::string name;  // "sheets.json"
  std::string mime;  // "application/json"
  std::string content;
};

struct PdfOptions {
  std::string title = {};
  std::optional<std::string> created =
      {};  // ISO 8601, "2024-05-01T09:30:00+02:00"; nothing: no date
  std::vector<Attachment> attachments = {};
  std::optional<PrinterCorrection> printer = {};  // the one that is to print it
};

// One page a drawing.
std::string pdf_of_drawings(const std::vector<Drawing>& pages, const PdfOptions& options = {});

constexpr double kLeastPngDpi = 20.0;
constexpr double kMostPngDpi = 1200.0;

// On white, its resolution in the file. dpi in [20, 1200], at most 200 megapixels.
std::string png_of_drawing(const Drawing& drawing, double dpi = 150.0);

// What the font itself says of a line's width; text_width_mm() must agree.
double measured_text_width_mm(const std::string& text, double height_mm, bool bold);

}  // namespace underdraw
