#include "trace/detail.h"

#include <algorithm>

namespace underdraw {
namespace {

constexpr double kSmoothMm = 0.15;  // a third of a pencil line: smaller wobbles go
// Below how well a line's middle is known on clean paper at 300 dpi: grain is followed as well.
constexpr double kFaithfulMm = 0.008;

}  // namespace

std::vector<std::string> detail_words() { return {"smooth", "usual", "faithful"}; }

std::optional<Detail> detail_named(const std::string& word) {
  const std::vector<std::string> words = detail_words();
  const auto found = std::find(words.begin(), words.end(), word);
  if (found == words.end()) return {};
  return static_cast<Detail>(found - words.begin());
}

TraceOptions with_detail(TraceOptions options, Detail detail) {
  switch (detail) {
    case Detail::smooth:
      options.tolerance_mm = kSmoothMm;
      break;
    case Detail::usual:
      options.tolerance_mm = TraceOptions{}.tolerance_mm;
      break;
    case Detail::faithful:
      options.tolerance_mm = kFaithfulMm;
      break;
  }
  return options;
}

}  // namespace underdraw
