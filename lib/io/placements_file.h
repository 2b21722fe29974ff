// placements.json: where every variant lies on every face.
//
// Stage:   io. Writing is pure (text comes back); reading opens one file.
// In/out:  {"schema":1,"faces":[{…,"report":{"coverage","arrangements":[…]}}]}, the faces as in
//          io/face_json.h.
// Refuses: anything damaged, of a newer schema, or out of range (InputError).
// Source:  JSON, RFC 8259.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "repeat/arrange.h"

namespace underdraw {

constexpr int kPlacementsSchema = 1;

std::string placements_text(const std::vector<PlacedFace>& faces);

std::vector<PlacedFace> read_placements(const std::filesystem::path& path);

// The same for text in memory; `file` is only named in complaints.
std::vector<PlacedFace> placements_of_text(std::string_view text, const std::string& file);

}  // namespace underdraw
