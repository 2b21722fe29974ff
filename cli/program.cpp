#include "program.h"

#include <algorithm>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "core/listed.h"
#include "core/nearest_word.h"
#include "core/one_line.h"
#include "manual.h"
#include "plain_help.h"
#include "version.h"

namespace underdraw::cli {
namespace {

constexpr const char* kPurpose =
    "Sketches of motifs in, true-size transfer sheets for a ceramic piece out.";
void print_overview(const Commands& commands) {
  fmt::print("{}\n\nUsage: underdraw COMMAND ...\n\nCommands:\n", kPurpose);
  for (const auto& command : commands) {
    fmt::print("  {:<8}{}\n", command->name(), command->summary());
  }
  fmt::print(
      "\nOptions:\n  --help  this page; `underdraw COMMAND --help` for a command\n"
      "  --version\n  --completion  a script that has bash complete commands and options\n"
      "  --manual-pages DIR  this help as manual pages in DIR/man1\n"
      "\nExample:\n  underdraw run samples/harbour-jar\n");
}

std::vector<std::string> names_of(const Commands& commands) {
  std::vector<std::string> names;
  for (const auto& command : commands) names.push_back(command->name());
  return names;
}

std::string did_you_mean(const std::string& word, const std::vector<std::string>& known) {
  const std::optional<std::string> meant = nearest_word(word, known);
  return meant ? "did you mean " + *meant + "?" : "";
}

Command& command_named(const Commands& commands, const std::string& word) {
  for (const auto& command : commands) {
    if (command->name() == word) return *command;
  }
  const std::vector<std::string> names = names_of(commands);
  const std::string meant = did_you_mean(word, names);
  throw UsageError(fmt::format("{}: no such command (expected {}); {}",
                               shortened(word, 60),
                               listed(names),
                               meant.empty() ? "see underdraw --help" : meant));
}

std::vector<std::string> option_names(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::Option* option : app.get_options()) {
    for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    for (const std::string& name : option->get_snames()) names.push_back("-" + name);
  }
  return names;
}

// CLI11's own sentences, said our way.
std::string complaint_of(const CLI::ParseError& error, const CLI::App& app) {
  if (dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr) {
    for (const std::string& word : app.remaining()) {
      if (!word.starts_with("-")) continue;
      const std::string name = word.substr(0, word.find('='));
      const std::string meant = did_you_mean(name, option_names(app));
      return name + ": no such option" + (meant.empty() ? "" : "; " + meant);
    }
    return fmt::format("{}: one argument too many", listed(app.remaining()));
  }
  std::string text = error.what();
  if (dynamic_cast<const CLI::RequiredError*>(&error) != nullptr) {
    const std::string rule = " is required";
    if (text.ends_with(rule)) text = text.substr(0, text.size() - rule.size()) + " is missing";
  }
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

}  // namespace

Outcome run_program(const std::vector<std::string>& words) {
  const Commands commands = all_commands();
  const std::string first = words.empty() ? "" : words.front();
  if (first == "--help" || first == "-h" || first == "help") {
    print_overview(commands);
    return Outcome::done;
  }
  if (first == "--version") {
    fmt::print("underdraw {}\n", kVersion);
    return Outcome::done;
  }
  if (first == "--completion") {
    fmt::print("{}", completion_script(commands));
    return Outcome::done;
  }
  if (first == "--manual-pages") {
    if (words.size() != 2 || words[1].empty()) {
      throw UsageError("--manual-pages: name one folder to put them in");
    }
    write_manual_pages(commands, words[1]);
    return Outcome::done;
  }
  if (words.empty()) {
    throw UsageError(fmt::format("no command given (expected {}); see underdraw --help",
                                 listed(names_of(commands))));
  }
  if (first.starts_with("-")) {
    throw UsageError(first + ": no such option; the command comes first, see underdraw --help");
  }

  Command& command = command_named(commands, first);
  Console console;
  const std::unique_ptr<CLI::App> declared = app_of(command, &console.json);
  CLI::App& app = *declared;
  try {
    // CLI11 takes the words from the back.
    app.parse(std::vector<std::string>(words.rbegin(), words.rend() - 1));
  } catch (const CLI::CallForHelp&) {
    fmt::print("{}", app.help());
    return Outcome::done;
  } catch (const CLI::ParseError& error) {
    throw UsageError(
        fmt::format("{}: {}; see underdraw {} --help", first, complaint_of(error, app), first));
  }
  const Outcome outcome = command.run(console);
  console.finish();
  return outcome;
}

}  // namespace underdraw::cli
