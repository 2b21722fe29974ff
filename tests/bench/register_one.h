// One benchmark: a piece of work that is done once a repetition, wall and CPU time of all threads.
#pragma once

#include <exception>
#include <string>
#include <utility>

#include <benchmark/benchmark.h>

namespace underdraw::bench {

// `work` returns what it made, so that it cannot be left out. Whatever it throws is reported and
// makes the program fail.
template <typename Work>
void register_one(const std::string& name, Work work, int times = 1) {
  benchmark::RegisterBenchmark(name.c_str(),
                               [work = std::move(work)](benchmark::State& state) {
                                 for ([[maybe_unused]] const auto _ : state) {
                                   try {
                                     benchmark::DoNotOptimize(work());
                                   } catch (const std::exception& e) {
                                     state.SkipWithError(e.what());
                                     break;
                                   }
                                 }
                               })
      ->Iterations(times)
      ->MeasureProcessCPUTime()
      ->UseRealTime()
      ->Unit(benchmark::kMillisecond);
}

}  // namespace underdraw::bench
