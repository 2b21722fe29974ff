#include "command.h"
#include "command_makers.h"

namespace underdraw::cli {

std::vector<std::unique_ptr<Command>> all_commands() {
  std::vector<std::unique_ptr<Command>> commands;
  commands.push_back(make_new_command());
  commands.push_back(make_run_command());
  commands.push_back(make_trace_command());
  commands.push_back(make_vary_command());
  commands.push_back(make_place_command());
  commands.push_back(make_sheet_command());
  commands.push_back(make_proof_command());
  commands.push_back(make_printer_command());
  commands.push_back(make_paper_command());
  commands.push_back(make_mat_command());
  commands.push_back(make_keep_command());
  commands.push_back(make_recover_command());
  commands.push_back(make_coats_command());
  return commands;
}

}  // namespace underdraw::cli
