// Measures how fast the stages are against named references, and how much memory they take.
//
// Prints medians, ratios of medians with their goals, and peak memory. Missed goals do not make it
// fail, because a busy machine is not a defect; work that goes wrong does. The options of Google
// Benchmark work as usual: --benchmark_filter=trace, --benchmark_repetitions=15.
#include <cstdio>
#include <exception>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "bench/bench_files.h"
#include "bench/benches.h"
#include "bench/median_table.h"

namespace {

using namespace underdraw::bench;

const std::vector<Ratio> kRatios = {
    {"read a page, 600 dpi : decode that PNG", "PageFile::read/pencil", "decode_png/pencil"},
    {"read a page, 600 dpi : cv::imread of it", "PageFile::read/pencil", "cv::imread/pencil"},
    {"trace a page, 600 dpi : decode that PNG", "trace_page/pencil", "decode_png/pencil", 4.0},
    {"trace it with its paper bleached : decode that PNG", "trace_page/white", "decode_png/white"},
    {"trace the sample, 300 dpi : decode that PNG", "trace_page/sample", "decode_png/sample"},
    {"trace the sample : cv::ximgproc::thinning of its ink",
     "trace_page/sample",
     "cv::ximgproc::thinning/sample"},
    {"thin the sample's ink : cv::ximgproc::thinning of it",
     "thin/sample",
     "cv::ximgproc::thinning/sample"},
    {"the sample from page to proof : decode its PNG", "make_piece/sample", "decode_png/sample"},
    {"prove the sample's sheets : render them", "prove_pdf/sample", "render_sheets/sample"},
    {"place 1,000 copies : place 100", "arrange/1000", "arrange/100", 10.0},
    {"place 5,000 copies : place 1,000", "arrange/5000", "arrange/1000", 5.0},
};

constexpr double kMostRunSeconds = 5.0;
constexpr double kMostMegabytes = 500.0;

std::string quoted(const std::string& word) {
  std::string out = "'";
  for (const char c : word) {
    if (c == '\'') {
      out += "'\\''";
    } else {
      out += c;
    }
  }
  out += '\'';
  return out;
}

// What the program holds at most, in MB.
double peak_memory_mb(const std::vector<std::string>& words) {
  std::string line = fmt::format("{} {}", quoted(PEAK_MEMORY_PROGRAM), quoted(UNDERDRAW_PROGRAM));
  for (const std::string& word : words) line += fmt::format(" {}", quoted(word));
  std::FILE* said = ::popen(line.c_str(), "r");
  if (said == nullptr) throw std::runtime_error("no shell to run " + line);
  double megabytes = 0.0;
  const int numbers = std::fscanf(said, "%lf", &megabytes);
  if (::pclose(said) != 0 || numbers != 1) throw std::runtime_error("failed: " + line);
  return megabytes;
}

void print_memory(const BenchFiles& files) {
  const auto row = [](const std::string& text, double megabytes) {
    fmt::print("{:<58} {:>7.0f} {:>15.0f}\n", text, megabytes, kMostMegabytes);
  };
  fmt::print("\n{:<58} {:>7} {:>15}\n", "peak memory of the program", "MB", "goal");
  row("underdraw trace PAGE --whole, 600 dpi",
      peak_memory_mb({"trace", files.pencil_page(), "--whole", "-o", files.scratch("whole.svg")}));
  row("underdraw run, the sample", peak_memory_mb({"run", files.piece_folder().string()}));
}

int measure(int argc, char** argv) {
  // Repetitions of all benchmarks are mixed, so that a busy minute falls on measured and reference
  // alike. What the caller says comes later and wins.
  std::vector<std::string> words = {
      argv[0], "--benchmark_repetitions=7", "--benchmark_enable_random_interleaving=true"};
  words.insert(words.end(), argv + 1, argv + argc);
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  int count = static_cast<int>(arguments.size());
  benchmark::Initialize(&count, arguments.data());
  if (benchmark::ReportUnrecognizedArguments(count, arguments.data())) return 2;

  fmt::print("Drawing pages, then measuring on {} cores: one to three minutes\n",
             std::thread::hardware_concurrency());
  std::fflush(stdout);
  const BenchFiles files;
  register_reading(files);
  register_tracing(files);
  register_running(files);
  register_placing();
  MedianTable table;
  benchmark::RunSpecifiedBenchmarks(&table);
  table.print_medians();
  table.print_ratios(kRatios);
  if (const std::optional<Median> run = table.median("make_piece/sample")) {
    fmt::print("{:<58} {:>5.2f} s {:>5.2f} s {:>5.0f} s\n",
               "the sample from page to proof",
               run->wall_ms / 1e3,
               run->cpu_ms / 1e3,
               kMostRunSeconds);
  }
  print_memory(files);
#ifndef BENCH_HAS_IMGCODECS
  fmt::print("\ncv::imread is not compared: libopencv-imgcodecs-dev is not installed\n");
#endif
#ifndef BENCH_HAS_XIMGPROC
  fmt::print("\ncv::ximgproc::thinning is not compared: libopencv-contrib-dev is not installed\n");
#endif
  return table.failed() ? 1 : 0;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return measure(argc, argv);
  } catch (const std::exception& e) {
    std::fprintf(stderr, "underdraw_bench: %s\n", e.what());
    return 1;
  }
}
