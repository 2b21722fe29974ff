// The middle value of a list.
//
// Stage:   trace. Pure.
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace underdraw {

// Upper median; 0 for an empty list.
inline double median(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace underdraw
