// The template of a face at true size, on as many pages as it takes.
//
// Stage:   sheet. Pure.
// In/out:  a face with its placements and the parts of its template; pages in mm.
// Pages:   the first says how the pages join, how well the paper lies, and shows the strain; then
//          the parts, small ones together, large ones over several pages with 10 mm overlaps and
//          register marks. Each page has the bars to check the print by.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "piece/face_template.h"
#include "sheet/sheet_plan.h"

namespace underdraw {

struct TemplatePageOptions {
  PaperSize paper;
  double margin_mm = 10.0;                        // [5, 25]
  std::optional<PrinterCorrection> printer = {};  // the one that the pages are made for

  void validate() const;  // throws OptionError
};

std::vector<Drawing> draw_template(const std::string& piece,
                                   const PlacedFace& face,
                                   const FaceTemplate& shape,
                                   const TemplatePageOptions& options = {});

}  // namespace underdraw
