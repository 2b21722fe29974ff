// Reads a PDF of drawings back, page by page, and measures whether it shows them: maps, templates.
//
// Stage:   io. poppler renders the pages, which Cairo wrote: two programs must agree.
// In/out:  a PDF in memory and the drawings that it was made from. A PDF made for a printer is
//          measured as that printer puts it on paper.
// Refuses: what is not a readable PDF (InputError). One that is readable and wrong is not refused:
//          the report says why it is wrong.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sheet/drawing.h"
#include "sheet/printer_correction.h"
#include "sheet/proof_pages.h"

namespace underdraw {

struct ProvePagesOptions {
  double dpi = 400.0;  // [300, 1200]; thin lines need it
  std::optional<PrinterCorrection> printer = {};
  PageProofOptions limits = {};

  void validate() const;  // throws OptionError
};

struct PagesProof {
  bool ok = false;
  std::vector<std::string> reasons;  // why not, one line each: "map.pdf page 2: …"
  double largest_mm = 0.0;
  std::vector<PageProof> pages;
};

// `file` is only named in messages.
PagesProof prove_pages(std::string_view pdf,
                       const std::string& file,
                       const std::vector<Drawing>& due,
                       const ProvePagesOptions& options = {});

}  // namespace underdraw
