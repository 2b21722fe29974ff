// The proof of a photo mat, as a line and as a JSON object.
#pragma once

#include <string>

#include <nlohmann/json.hpp>

#include "io/prove_mat.h"

namespace underdraw::cli {

// "true: bars 100.00 mm across and 100.00 mm down, 54 corners within 0.01 mm"
std::string mat_proof_line(const MatProof& proof);
nlohmann::ordered_json mat_proof_object(const MatProof& proof);

}  // namespace underdraw::cli
