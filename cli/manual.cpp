#include "manual.h"

#include <filesystem>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "io/out_folder.h"
#include "plain_help.h"
#include "version.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

constexpr const char* kExitStatus =
    ".SH EXIT STATUS\n0 when done, 1 when something was refused or failed, 2 for wrong use.\n";

// Text that roff takes as it is: no line of it is a request, no hyphen is broken at.
std::string roff(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const bool line_start = out.empty() || out.back() == '\n';
    if (line_start && (c == '.' || c == '\'')) out += "\\&";
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c;
    }
  }
  return out;
}

std::string head(const std::string& name, const std::string& summary) {
  std::string upper = name;
  for (char& c : upper) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return fmt::format(".TH \"{}\" 1 \"\" \"underdraw {}\"\n.SH NAME\n{} \\- {}\n",
                     upper,
                     kVersion,
                     roff(name),
                     roff(summary));
}

std::string names_of(const CLI::Option& option) {
  if (option.get_positional()) return option.get_name();
  std::string names;
  for (const std::string& name : option.get_snames()) names += "-" + name + ", ";
  for (const std::string& name : option.get_lnames()) names += "--" + name + ", ";
  if (names.size() > 2) names.resize(names.size() - 2);
  const std::string value = value_of(option.get_type_name()).name;
  return value.empty() ? names : names + " " + value;
}

std::string long_options(const CLI::App& app) {
  std::string words;
  for (const CLI::Option* option : app.get_options()) {
    for (const std::string& name : option->get_lnames()) words += " --" + name;
  }
  return words.empty() ? words : words.substr(1);
}

}  // namespace

std::string manual_page(Command& command) {
  bool json = false;
  const std::unique_ptr<CLI::App> app = app_of(command, &json);
  const std::string name = "underdraw-" + command.name();
  std::string page = head(name, command.summary());
  page += fmt::format(".SH SYNOPSIS\n.B underdraw {}\n[OPTIONS]", command.name());
  for (const CLI::Option* option : app->get_options()) {
    if (!option->get_positional()) continue;
    const bool required = option->get_required();
    page += fmt::format(" {}{}{}", required ? "" : "[", option->get_name(), required ? "" : "]");
  }
  page += "\n.SH OPTIONS\n";
  for (const CLI::Option* option : app->get_options()) {
    page += fmt::format(".TP\n.B {}\n{}\n", roff(names_of(*option)), roff(meaning_of(*option)));
  }
  page += fmt::format(".SH EXAMPLE\n.nf\n{}\n.fi\n", roff(command.example()));
  return page + kExitStatus + ".SH SEE ALSO\n.BR underdraw (1)\n";
}

std::string manual_page(const Commands& commands) {
  std::string page = head("underdraw", "true-size transfer sheets for hand-decorated ceramics");
  page +=
      ".SH SYNOPSIS\n.B underdraw\nCOMMAND [OPTIONS] ...\n.SH DESCRIPTION\n"
      "Turns scanned sketches into clean linework and variants, spreads them over a measured "
      "piece, "
      "prints transfer sheets at true size, and brings covered lines back from photos.\n"
      ".SH COMMANDS\n";
  for (const auto& command : commands) {
    page += fmt::format(
        ".TP\n.BR underdraw\\-{} (1)\n{}\n", roff(command->name()), roff(command->summary()));
  }
  page += ".SH EXAMPLE\n.nf\nunderdraw run my\\-jar\n.fi\n";
  return page + kExitStatus;
}

void write_manual_pages(const Commands& commands, const std::string& folder) {
  const fs::path pages = fs::path(folder) / "man1";
  std::error_code ignored;  // what cannot be made is refused by name below
  fs::create_directories(pages, ignored);
  write_file(pages / "underdraw.1", manual_page(commands), Overwrite::yes);
  for (const auto& command : commands) {
    write_file(
        pages / ("underdraw-" + command->name() + ".1"), manual_page(*command), Overwrite::yes);
  }
}

std::string completion_script(const Commands& commands) {
  std::string names;
  std::string cases;
  for (const auto& command : commands) {
    bool json = false;
    const std::unique_ptr<CLI::App> app = app_of(*command, &json);
    if (!names.empty()) names += ' ';
    names += command->name();
    cases += fmt::format("    {}) words=\"{}\" ;;\n", command->name(), long_options(*app));
  }
  return fmt::format(
      "# Completes underdraw's commands and options in bash.\n"
      "_underdraw() {{\n"
      "  local word=\"${{COMP_WORDS[COMP_CWORD]}}\" words=\"\"\n"
      "  COMPREPLY=()\n"
      "  if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
      "    COMPREPLY=($(compgen -W \"{} --help --version\" -- \"$word\"))\n"
      "    return\n"
      "  fi\n"
      "  case \"${{COMP_WORDS[1]}}\" in\n{}"
      "  esac\n"
      "  case \"$word\" in\n"
      "    -*) COMPREPLY=($(compgen -W \"$words\" -- \"$word\")) ;;\n"
      "  esac\n"
      "}}\n"
      "complete -o default -F _underdraw underdraw\n",
      names,
      cases);
}

}  // namespace underdraw::cli
