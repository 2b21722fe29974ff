// Manual pages and shell completion, made from the options that the commands declare.
//
// Source:   man-pages(7) for the order of sections; bash-completion's "complete -F".
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "command.h"

namespace underdraw::cli {

using Commands = std::vector<std::unique_ptr<Command>>;

// roff, section 1.
std::string manual_page(const Commands& commands);
std::string manual_page(Command& command);

// Writes FOLDER/man1/underdraw.1 and a page a command beside it, over older ones (OutputError).
void write_manual_pages(const Commands& commands, const std::string& folder);

// Completes commands, their options, and file names for everything else.
std::string completion_script(const Commands& commands);

}  // namespace underdraw::cli
