// Drawing sheets and their proof, as lines and as a JSON object.
#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "console.h"
#include "io/prove_blank_sheets.h"

namespace underdraw::cli {

std::vector<Fact> paper_facts(const BlankSheetsFile& file, const PagesProof& proof);
nlohmann::ordered_json paper_object(const BlankSheetsFile& file, const PagesProof& proof);

}  // namespace underdraw::cli
