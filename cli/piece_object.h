// Results as JSON objects, for --json.
#pragma once

#include <nlohmann/json.hpp>

#include "io/make_piece.h"

namespace underdraw::cli {

nlohmann::ordered_json motif_object(const Motif& motif);
nlohmann::ordered_json sheets_object(const SheetPlan& plan);
nlohmann::ordered_json proof_object(const ProofReport& report);

// All that the chain made; parts that were not asked for are left out.
nlohmann::ordered_json piece_object(const PieceResult& made, MakeStep until);

}  // namespace underdraw::cli
