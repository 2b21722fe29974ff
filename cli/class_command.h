// How a class is run and what is shown of it.
#pragma once

#include <string>

#include "command.h"
#include "io/make_piece.h"

namespace underdraw::cli {

// Runs the chain for everybody in a class folder. Refused when anybody's sheets are missing, who is
// then named last, with the reason.
Outcome run_class_command(const std::string& folder, const MakeOptions& options, Console& console);

}  // namespace underdraw::cli
