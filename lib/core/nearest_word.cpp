#include "core/nearest_word.h"

#include <algorithm>
#include <cstddef>

namespace underdraw {
namespace {

// Letters to add, drop, change or swap with their neighbour.
std::size_t edit_distance(const std::string& a, const std::string& b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = a[i - 1] == b[j - 1] ? 0 : 1;
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
      }
    }
  }
  return d[a.size()][b.size()];
}

}  // namespace

std::optional<std::string> nearest_word(const std::string& word,
                                        const std::vector<std::string>& known) {
  std::optional<std::string> best;
  std::size_t least = 0;
  for (const std::string& candidate : known) {
    const std::size_t distance = edit_distance(word, candidate);
    const std::size_t allowed =
        std::max<std::size_t>(1, std::max(word.size(), candidate.size()) / 3);
    if (distance > allowed || (best && distance >= least)) continue;
    best = candidate;
    least = distance;
  }
  return best;
}

}  // namespace underdraw
