// Whether a printed page is the drawing that it was made from: maps, template pages.
//
// Stage:   sheet. Pure: lib/io renders the page and hands it over as grey pixels and words.
// Frame:   page, mm; a pixel's corner is (0, 0).
// How:     along every dark solid line and edge of the drawing, the printed line's middle is found
//          across it (proof_lines.h); places near other marks or under later ones are only asked
//          for ink, or not at all under white. Every line of text must be written where it stands.
//          Grey and dashed lines are not measured. Ink that nobody asks for is not looked for.
// Source:  own construction.
#pragma once

#include <string>
#include <vector>

#include "sheet/drawing.h"
#include "sheet/proof.h"

namespace underdraw {

struct PageProofOptions {
  double limit_mm = 0.2;        // largest deviation of a line; (0, 5]
  double missing_limit = 0.05;  // share of one mark's samples that may lack ink

  void validate() const;  // throws OptionError
};

struct PageProof {
  std::size_t samples = 0;
  double measured_share = 0.0;
  double mean_mm = 0.0;
  double largest_mm = 0.0;
  std::size_t words = 0;            // lines of text that were looked for
  std::vector<std::string> faults;  // the first few, one line each; empty: true
};

// `letters`: what is written, letter by letter.
PageProof measure_page(const Drawing& drawing,
                       const GreyView& page,
                       const std::vector<PrintedWord>& letters,
                       const PageProofOptions& options = {});

}  // namespace underdraw
