#include "core/error.h"

#include <fmt/format.h>

#include "core/one_line.h"

namespace underdraw {
namespace {

// A whole file may be quoted when its quotation marks are not closed.
constexpr std::size_t kMostQuoted = 1000;

}  // namespace

std::string Complaint::text() const {
  std::string out = shortened(file, kMostQuoted);
  if (line) out += fmt::format("{}{}", out.empty() ? "line " : ":", *line);
  if (!out.empty()) out += ": ";
  out += shortened(found, kMostQuoted);
  if (!expected.empty()) out += fmt::format(" (expected {})", shortened(expected, kMostQuoted));
  if (!remedy.empty()) out += "; " + shortened(remedy, kMostQuoted);
  return one_line(std::move(out));
}

void require_between(
    double value, double low, double high, const std::string& field, const std::string& unit) {
  if (value >= low && value <= high) return;
  const std::string behind = unit.empty() ? "" : " " + unit;
  throw OptionError({.file = {},
                     .line = {},
                     .found = fmt::format("{} is {}{}", field, value, behind),
                     .expected = fmt::format("{} to {}{}", low, high, behind),
                     .remedy = "choose a value in this range"});
}

}  // namespace underdraw
