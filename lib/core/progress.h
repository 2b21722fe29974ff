// How long work reports where it is, without knowing about terminals.
//
// Stage: core. Pure: the callback decides what is shown.
#pragma once

#include <functional>
#include <string>

namespace underdraw {

// Called with a short word for the step ("tracing kelp") and the share done, 0 to 1. It may be
// called from several threads, never at the same time.
using Progress = std::function<void(const std::string& step, double share)>;

// Reports if there is a listener.
void report(const Progress& progress, const std::string& step, double share);

// For a step of a longer work, which goes on from one share to another meanwhile.
Progress part_of(const Progress& progress, double from, double to);

}  // namespace underdraw
