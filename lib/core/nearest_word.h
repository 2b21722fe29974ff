// The known word that a mistyped one was most likely meant to be.
//
// Stage:   core. Pure.
// Source:  edit distance with swaps of neighbours (optimal string alignment), as in any textbook.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace underdraw {

// Nothing when no known word is near: more than a third of the letters would have to change.
std::optional<std::string> nearest_word(const std::string& word,
                                        const std::vector<std::string>& known);

}  // namespace underdraw
