// What every command is: declared on the command line, then run.
//
// To add one: write command_<name>.cpp, name its maker in command_list.cpp, describe it in
// docs/commands/<name>.md, list its cases in tests/cli/<name>/CMakeLists.txt.
#pragma once

#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "console.h"

namespace CLI {
class App;
}

namespace underdraw::cli {

// Refused: everything worked, but the answer is no (a proof that found a sheet untrue).
enum class Outcome { done, refused };

// The command line itself is wrong: exit 2.
class UsageError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

class Command {
 public:
  virtual ~Command() = default;

  virtual std::string name() const = 0;
  virtual std::string summary() const = 0;  // one line for the list of commands
  virtual std::string example() const = 0;  // one line that runs in the checkout
  // Declares options and how they are checked. Opens nothing.
  virtual void declare(CLI::App& app) = 0;
  // Does the work with what was parsed.
  virtual Outcome run(Console& console) = 0;
};

// In the order in which they are used.
std::vector<std::unique_ptr<Command>> all_commands();

}  // namespace underdraw::cli
