// Words in a row, for complaints and summaries.
//
// Stage: core. Pure.
#pragma once

#include <string>
#include <vector>

namespace underdraw {

// "A3, A4, Letter". In place of fmt::join, about which GCC 12 warns without cause.
inline std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) {
    if (!text.empty()) text += ", ";
    text += word;
  }
  return text;
}

}  // namespace underdraw
