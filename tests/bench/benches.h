// The benchmarks, a file a stage. Each begins its name with the function that it measures; the
// ratios that they make are in main.cpp.
#pragma once

#include "bench/bench_files.h"

namespace underdraw::bench {

void register_reading(const BenchFiles& files);
void register_tracing(const BenchFiles& files);
void register_running(const BenchFiles& files);
void register_placing();
void register_recovering(const BenchFiles& files);

}  // namespace underdraw::bench
