#include "coats/area_name.h"

#include <algorithm>

namespace underdraw {

std::string area_letter(std::size_t index) {
  std::string letters;
  for (std::size_t left = index + 1; left > 0; left = (left - 1) / 26) {
    letters.insert(letters.begin(), static_cast<char>('a' + (left - 1) % 26));
  }
  return letters;
}

std::optional<AreaName> area_of_motif(const std::string& text) {
  const std::size_t space = text.rfind(' ');
  if (space == text.npos || space == 0 || space + 1 == text.size()) return std::nullopt;
  const std::string letter = text.substr(space + 1);
  const bool letters =
      std::all_of(letter.begin(), letter.end(), [](char c) { return c >= 'a' && c <= 'z'; });
  if (!letters || letter.size() > 2) return std::nullopt;
  return AreaName{text.substr(0, space), letter};
}

}  // namespace underdraw
