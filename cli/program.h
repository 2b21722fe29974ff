// From the words on the command line to a command that runs.
#pragma once

#include <string>
#include <vector>

#include "command.h"

namespace underdraw::cli {

// Parses the words after the program's name, runs the command that they ask for and says how it
// went. Throws UsageError, and what the command throws.
Outcome run_program(const std::vector<std::string>& words);

}  // namespace underdraw::cli
