// The log of coats, firings and test tiles in words and as JSON.
#pragma once

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "console.h"
#include "io/coats_log.h"

namespace underdraw::cli {

std::string text_of(const ColourCoats& colour);  // "2 of 3 laid, 1 missing"
std::string text_of(const ColourNeed& need);     // "250 ml for a m² and coat (230 to 290), …"
std::string text_of(const ColourChange& change);
std::string text_of(LabColour colour);         // "L* 47.5 a* -20.2 b* -4.5"
std::string text_of(const LogEntry& entry);    // "3 coats of teal on wall 4, 7-9"
std::string time_text(const std::string& at);  // "2026-05-03 14:15 UTC"

// What became of the lines that were drawn before the last firing.
std::string lines_text(const std::string& folder, bool lines_kept);

void show_summary(Console& console, const LogOfPiece& piece, const std::string& folder);
void show_history(Console& console, const WorkLog& log);

nlohmann::ordered_json summary_object(const LogOfPiece& piece);
nlohmann::ordered_json entry_object(const LogEntry& entry);

}  // namespace underdraw::cli
