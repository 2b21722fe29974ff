// Reads a PDF of a photo mat back and measures whether it is true.
//
// Stage:   io. poppler renders the page, which Cairo wrote: two programs must agree.
// In/out:  a PDF that mat_pdf() made, which says which mat it is.
// Refuses: what is not a readable PDF (InputError). A mat that is readable and wrong is not
//          refused: the proof says why it is wrong.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "photo/mat.h"

namespace underdraw {

struct MatProof {
  bool ok = false;
  std::vector<std::string> reasons;  // why not, one line each
  std::string mat;
  std::optional<double> across_mm, down_mm;  // bars; nothing: not found
  std::size_t corners = 0;                   // measured
  double worst_corner_mm = 0.0;
};

std::string mat_pdf(const MatOptions& options);

// The mat that a PDF says it is; nothing when it is another kind of PDF.
const MatLayout* mat_of_pdf(std::string_view pdf, const std::string& file);

// The same for a file; nothing when it cannot be read or is another kind of PDF.
std::optional<MatProof> prove_if_mat(const std::filesystem::path& pdf, double limit_mm = 0.1);

// At 300 dpi. limit_mm: of bars and corners.
MatProof prove_mat(std::string_view pdf,
                   const std::string& file,
                   const MatLayout& mat,
                   double limit_mm = 0.1);

}  // namespace underdraw
