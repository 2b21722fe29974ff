#include "io/record_text.h"

#include <algorithm>
#include <chrono>

#include <fmt/chrono.h>
#include <fmt/format.h>

#include "io/text_file.h"

namespace underdraw {

bool is_one_line(const std::string& text) {
  constexpr std::size_t kLongestText = 500;
  const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; };
  return text.size() <= kLongestText && !first_bad_utf8(text) &&
         std::none_of(text.begin(), text.end(), control);
}

std::string utf8_of_name(std::string name) {
  while (const auto bad = first_bad_utf8(name)) name[*bad] = '?';
  return name;
}

std::string now_in_utc() {
  const auto now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}",
                     fmt::gmtime(std::chrono::system_clock::to_time_t(now)));
}

}  // namespace underdraw
