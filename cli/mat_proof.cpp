#include "mat_proof.h"

#include <fmt/format.h>

namespace underdraw::cli {
namespace {

std::string bar_text(const std::optional<double>& measured_mm) {
  return measured_mm ? fmt::format("{:.2f} mm", *measured_mm) : "not found";
}

nlohmann::ordered_json number_or_null(const std::optional<double>& value) {
  if (!value) return nullptr;
  return *value;
}

}  // namespace

std::string mat_proof_line(const MatProof& proof) {
  return fmt::format("{}: bars {} across and {} down, {} corners within {:.2f} mm",
                     proof.ok ? "true" : "not true",
                     bar_text(proof.across_mm),
                     bar_text(proof.down_mm),
                     proof.corners,
                     proof.worst_corner_mm);
}

nlohmann::ordered_json mat_proof_object(const MatProof& proof) {
  nlohmann::ordered_json object;
  object["ok"] = proof.ok;
  object["reasons"] = proof.reasons;
  object["mat"] = proof.mat;
  object["across_mm"] = number_or_null(proof.across_mm);
  object["down_mm"] = number_or_null(proof.down_mm);
  object["corners"] = proof.corners;
  object["largest_mm"] = proof.worst_corner_mm;
  return object;
}

}  // namespace underdraw::cli
