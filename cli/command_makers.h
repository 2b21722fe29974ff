// One maker a command, each in its command_<name>.cpp.
#pragma once

#include <memory>

#include "command.h"

namespace underdraw::cli {

std::unique_ptr<Command> make_new_command();
std::unique_ptr<Command> make_run_command();
std::unique_ptr<Command> make_trace_command();
std::unique_ptr<Command> make_vary_command();
std::unique_ptr<Command> make_place_command();
std::unique_ptr<Command> make_sheet_command();
std::unique_ptr<Command> make_proof_command();
std::unique_ptr<Command> make_printer_command();
std::unique_ptr<Command> make_paper_command();
std::unique_ptr<Command> make_mat_command();
std::unique_ptr<Command> make_keep_command();
std::unique_ptr<Command> make_recover_command();
std::unique_ptr<Command> make_coats_command();

}  // namespace underdraw::cli
