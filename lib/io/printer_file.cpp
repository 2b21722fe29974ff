#include "io/printer_file.h"

#include <algorithm>
#include <cstdlib>
#include <set>
#include <sstream>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "core/error.h"
#include "core/listed.h"
#include "core/nearest_word.h"
#include "io/piece_table.h"
#include "io/text_file.h"
#include "io/toml_table.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

const TomlRange kFactor{1.0 - kMostPrinterError, 1.0 + kMostPrinterError, "mm for 1 mm"};

// Empty where it is not set. The specification has relative folders ignored.
fs::path folder_in_environment(const char* name) {
  const char* value = std::getenv(name);
  const fs::path folder = value ? value : "";
  return folder.is_absolute() ? folder : fs::path();
}

std::string quoted(const std::string& text) {
  std::ostringstream out;
  out << toml::value<std::string>(text);
  return out.str();
}

std::string text_of(const std::vector<PrinterCorrection>& printers) {
  std::string out = fmt::format(
      "# What each printer makes of 1 mm; underdraw printer writes and shows this.\nschema = {}\n",
      kPrintersSchema);
  for (const PrinterCorrection& printer : printers) {
    out += fmt::format("\n[[printer]]\nname = {}\nacross = {:.6f}\ndown = {:.6f}\n",
                       quoted(printer.name),
                       printer.across,
                       printer.down);
  }
  return out;
}

std::vector<std::string> names_of(const std::vector<PrinterCorrection>& printers) {
  std::vector<std::string> names;
  for (const PrinterCorrection& printer : printers) names.push_back(printer.name);
  return names;
}

auto place_of(std::vector<PrinterCorrection>& printers, const std::string& name) {
  return std::find_if(printers.begin(), printers.end(), [&](const PrinterCorrection& printer) {
    return printer.name == name;
  });
}

[[noreturn]] void refuse_unknown(const fs::path& file,
                                 const std::vector<PrinterCorrection>& printers,
                                 const std::string& name) {
  const std::vector<std::string> names = names_of(printers);
  const std::optional<std::string> meant = nearest_word(name, names);
  throw InputError(
      {.file = file.string(),
       .line = {},
       .found = fmt::format("no printer is named \"{}\"", name),
       .expected = names.empty() ? "" : listed(names),
       .remedy = meant ? fmt::format("did you mean {}?", *meant)
                       : "print and measure its test page, see underdraw printer --help"});
}

}  // namespace

fs::path printers_file() {
  fs::path folder = folder_in_environment("XDG_CONFIG_HOME");
  if (folder.empty()) {
    const fs::path home = folder_in_environment("HOME");
    if (home.empty()) {
      throw InputError({.file = {},
                        .line = {},
                        .found = "there is no folder for settings",
                        .expected = "HOME or XDG_CONFIG_HOME in the environment",
                        .remedy = "set one of them to a folder of yours"});
    }
    folder = home / ".config";
  }
  return folder / "underdraw" / "printers.toml";
}

std::vector<PrinterCorrection> read_printers(const fs::path& path) {
  if (!fs::exists(path)) return {};
  const std::string file = path.string();
  const toml::table root =
      parsed_toml(read_text_file(path, {.expected = "a file of printers"}), file);
  const TomlTable top(root, file, "", {"schema", "printer"});
  if (!top.has("schema")) top.refuse_missing("schema", fmt::format("{}", kPrintersSchema));
  const int schema = *top.whole("schema", 1, 1'000'000);
  if (schema > kPrintersSchema) {
    top.refuse("schema",
               fmt::format("is {}", schema),
               fmt::format("at most {}", kPrintersSchema),
               "use a newer underdraw");
  }
  std::vector<PrinterCorrection> printers;
  std::set<std::string> seen;
  for (const toml::table* raw : top.tables("printer")) {
    const TomlTable table(*raw, file, "[[printer]]", {"name", "across", "down"});
    const PrinterCorrection printer{table.need_text("name", "a name for the printer"),
                                    table.need_number("across", kFactor),
                                    table.need_number("down", kFactor)};
    table.with_place("name", [&] { printer.validate(); });
    if (!seen.insert(printer.name).second) {
      table.refuse("name",
                   fmt::format("\"{}\" is there twice", printer.name),
                   "a name of its own for each",
                   "remove one");
    }
    printers.push_back(printer);
  }
  return printers;
}

PrinterCorrection printer_named(const fs::path& file, const std::string& name) {
  std::vector<PrinterCorrection> printers = read_printers(file);
  const auto found = place_of(printers, name);
  if (found == printers.end()) refuse_unknown(file, printers, name);
  return *found;
}

std::optional<PrinterCorrection> keep_printer(const fs::path& file,
                                              const PrinterCorrection& printer,
                                              const Notice& notice) {
  printer.validate();
  OutFiles out(file.parent_path(), Overwrite::yes, notice);  // holds the folder from here on
  std::vector<PrinterCorrection> printers = read_printers(file);
  const auto found = place_of(printers, printer.name);
  std::optional<PrinterCorrection> before;
  if (found == printers.end()) {
    printers.push_back(printer);
  } else {
    before = std::exchange(*found, printer);
  }
  out.write(file.filename(), text_of(printers));
  out.publish();
  return before;
}

void remove_printer(const fs::path& file, const std::string& name, const Notice& notice) {
  if (!fs::exists(file)) refuse_unknown(file, {}, name);
  OutFiles out(file.parent_path(), Overwrite::yes, notice);
  std::vector<PrinterCorrection> printers = read_printers(file);
  const auto found = place_of(printers, name);
  if (found == printers.end()) refuse_unknown(file, printers, name);
  printers.erase(found);
  out.write(file.filename(), text_of(printers));
  out.publish();
}

}  // namespace underdraw
