#include "sheet/paper.h"

#include <algorithm>
#include <array>
#include <cctype>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kInch = 25.4;

const std::array<PaperSize, 5>& known_sizes() {
  static const std::array<PaperSize, 5> sizes = {{{"A3", 297.0, 420.0},
                                                  {"A4", 210.0, 297.0},
                                                  {"Letter", 8.5 * kInch, 11.0 * kInch},
                                                  {"Legal", 8.5 * kInch, 14.0 * kInch},
                                                  {"Tabloid", 11.0 * kInch, 17.0 * kInch}}};
  return sizes;
}

std::string lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

}  // namespace

PaperSize paper_size(const std::string& name) {
  for (const PaperSize& size : known_sizes()) {
    if (lower(size.name) == lower(name)) return size;
  }
  throw OptionError({.file = {},
                     .line = {},
                     .found = fmt::format("paper size is \"{}\"", name),
                     .expected = fmt::format("one of {}", fmt::join(paper_names(), ", ")),
                     .remedy = "name one of these, or give [width, height] in mm"});
}

PaperSize custom_paper(double width_mm, double height_mm) {
  require_between(width_mm, 50.0, 2000.0, "paper width", "mm");
  require_between(height_mm, 50.0, 2000.0, "paper height", "mm");
  return {fmt::format("{:g} x {:g} mm", width_mm, height_mm), width_mm, height_mm};
}

std::vector<std::string> paper_names() {
  std::vector<std::string> names;
  for (const PaperSize& size : known_sizes()) names.push_back(size.name);
  return names;
}

}  // namespace underdraw
