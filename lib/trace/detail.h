// How closely curves follow the hand: the trade between smooth and true, in words.
//
// Stage:   trace. Pure.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "trace/trace_page.h"

namespace underdraw {

enum class Detail {
  smooth,    // calm curves of few pieces; small wobbles of the hand are left out
  usual,     // what TraceOptions are by themselves
  faithful,  // every wobble that the scan shows, at the price of more pieces
};

// In that order.
std::vector<std::string> detail_words();
std::optional<Detail> detail_named(const std::string& word);

// Only how closely curves follow changes.
TraceOptions with_detail(TraceOptions options, Detail detail);

}  // namespace underdraw
