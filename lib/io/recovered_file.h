// recovered.json: the lines that the photos show, face by face.
//
// Stage:   io. Writing is pure (text comes back); reading opens one file.
// In/out:  {"schema":1,"faces":[{"name","strokes":[{"placement": id or null,"seen",
//          "points":[[a_deg,s_mm],…] or [[x_mm,y_mm],…]}]}]}; a stroke known only in a photo has
//          "photo" and "points_px" instead of "points". Frames as in recover/recovered.h.
// Refuses: anything damaged, of a newer schema, or out of range (InputError); numbers that are not
//          finite (OutputError).
// Source:  JSON, RFC 8259.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "recover/recovered.h"

namespace underdraw {

constexpr int kRecoveredSchema = 1;

std::string recovered_text(const std::vector<RecoveredFace>& faces);

std::vector<RecoveredFace> read_recovered(const std::filesystem::path& path);

// The same for text in memory; `file` is only named in complaints.
std::vector<RecoveredFace> recovered_of_text(std::string_view text, const std::string& file);

}  // namespace underdraw
