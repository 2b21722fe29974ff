#include "core/error.h"

#include <fmt/format.h>

namespace underdraw {

std::string Complaint::text() const {
  std::string out = file;
  if (line) out += fmt::format("{}{}", out.empty() ? "line " : ":", *line);
  if (!out.empty()) out += ": ";
  out += found;
  if (!expected.empty()) out += fmt::format(" (expected {})", expected);
  if (!remedy.empty()) out += "; " + remedy;
  // One line is promised, whatever a file name or a library put into it.
  for (char& c : out) {
    if (c == '\n' || c == '\r' || c == '\t') c = ' ';
  }
  return out;
}

void require_between(
    double value, double low, double high, const std::string& field, const std::string& unit) {
  if (value >= low && value <= high) return;
  const std::string behind = unit.empty() ? "" : " " + unit;
  throw OptionError({.file = {},
                     .line = {},
                     .found = fmt::format("{} is {}{}", field, value, behind),
                     .expected = fmt::format("{} to {}{}", low, high, behind),
                     .remedy = {}});
}

}  // namespace underdraw
