// Reads a PDF of transfer sheets back and measures whether it is true.
//
// Stage:   io. poppler renders the pages, which Cairo wrote: two programs must agree.
// In/out:  a PDF file; what its lines should be comes from the plan: "sheets.json" beside
//          "sheets.pdf" if there is one, otherwise the copy inside the PDF. A PDF made for a
//          printer is measured as that printer puts it on paper.
// Refuses: what is not a readable PDF, a PDF without a plan (InputError). A PDF that is readable
//          and wrong is not refused: the report says why it is wrong.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "core/progress.h"
#include "sheet/proof.h"

namespace underdraw {

struct ProveOptions {
  double dpi = 600.0;           // [150, 1200]; lowered where a page would exceed 150 megapixels
  unsigned sheets_at_once = 4;  // each takes the memory of its page at that resolution; > 0
  ProofOptions limits;

  void validate() const;  // throws OptionError
};

ProofReport prove_pdf(const std::filesystem::path& pdf,
                      const ProveOptions& options = {},
                      const Progress& progress = {});

// The same for a PDF in memory against a plan; `file` is only named in messages.
ProofReport prove_pdf_bytes(std::string_view pdf,
                            const std::string& file,
                            const SheetPlan& plan,
                            const ProveOptions& options = {},
                            const Progress& progress = {});

// proof.json.
std::string proof_text(const ProofReport& report);

}  // namespace underdraw
