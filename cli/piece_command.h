// What the commands that work on a piece folder have in common, and how results are worded.
#pragma once

#include <cstddef>
#include <string>

#include "command.h"
#include "io/make_piece.h"

namespace underdraw::cli {

// Runs the chain on a piece folder and shows what came of it.
Outcome run_piece_command(const std::string& folder, const MakeOptions& options, Console& console);

std::string count_text(std::size_t count, const std::string& thing);  // "1 copy", "6 copies"
std::string motif_text(const Motif& motif);                           // "38.2 x 61.0 mm, 14 lines"
std::string sheets_line(const SheetPlan& plan);     // "3 sheets of A4, carbon: …"
std::string proof_line(const ProofReport& report);  // "true: largest deviation 0.031 mm …"

}  // namespace underdraw::cli
