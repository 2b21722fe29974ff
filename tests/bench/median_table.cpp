#include "bench/median_table.h"

#include <fmt/format.h>

namespace underdraw::bench {

void MedianTable::ReportRuns(const std::vector<Run>& runs) {
  for (const Run& run : runs) {
    const std::string& name = run.run_name.function_name;
    if (run.error_occurred) {
      fmt::print(stderr, "{}: {}\n", name, run.error_message);
      failed_ = true;
      continue;
    }
    if (run.run_type != Run::RT_Aggregate) continue;
    Median& median = medians_[name];
    if (run.aggregate_name == "median") {
      median.wall_ms = run.GetAdjustedRealTime();
      median.cpu_ms = run.GetAdjustedCPUTime();
    } else if (run.aggregate_name == "cv") {
      median.spread = run.real_accumulated_time;
    }
  }
}

std::optional<Median> MedianTable::median(const std::string& name) const {
  const auto found = medians_.find(name);
  if (found == medians_.end()) return {};
  return found->second;
}

void MedianTable::print_medians() const {
  fmt::print("\n{:<34} {:>10} {:>10} {:>8}\n", "median", "wall ms", "CPU ms", "spread");
  for (const auto& [name, m] : medians_) {
    fmt::print("{:<34} {:>10.1f} {:>10.1f} {:>7.0f}%\n", name, m.wall_ms, m.cpu_ms, 100 * m.spread);
  }
}

void MedianTable::print_ratios(const std::vector<Ratio>& ratios) const {
  fmt::print("\n{:<58} {:>7} {:>7} {:>7}\n", "ratio of medians", "wall", "CPU", "goal");
  for (const Ratio& ratio : ratios) {
    const std::optional<Median> measured = median(ratio.measured);
    const std::optional<Median> reference = median(ratio.reference);
    const bool both = measured && reference;
    fmt::print("{:<58} {:>7} {:>7} {:>7}\n",
               ratio.text,
               both ? fmt::format("{:.2f}", measured->wall_ms / reference->wall_ms) : "-",
               both ? fmt::format("{:.2f}", measured->cpu_ms / reference->cpu_ms) : "-",
               ratio.goal ? fmt::format("{:g}", *ratio.goal) : "");
  }
}

}  // namespace underdraw::bench
