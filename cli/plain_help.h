// A command with its options as CLI11 knows them, and help as people read it.
#pragma once

#include <memory>
#include <string>

#include "command.h"

namespace CLI {
class Option;
}

namespace underdraw::cli {

// Every command's options, --help and --json among them. `json` is set by --json.
std::unique_ptr<CLI::App> app_of(Command& command, bool* json);

// "MM" and "0.005 to 1 mm", from what CLI11 hands over in one: "MM:0.005 to 1 mm".
struct OptionValue {
  std::string name;
  std::string range;
};
OptionValue value_of(const std::string& type_name);

// What it means, then range and default.
std::string meaning_of(const CLI::Option& option);

}  // namespace underdraw::cli
