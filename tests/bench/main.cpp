// Measures how fast the stages are against named references, and how much memory they take.
//
// Prints medians, ratios of medians with their goals, and peak memory. Missed goals do not make it
// fail, because a busy machine is not a defect; work that goes wrong does. The options of Google
// Benchmark work as usual: --benchmark_filter=trace, --benchmark_repetitions=15.
#include <algorithm>
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
    {"a page, 600 dpi, from file to SVG : decode it",
     "page_to_svg/pencil",
     "decode_png/pencil",
     2.0},
    {"the same, its paper bleached : decode it", "page_to_svg/white", "decode_png/white", 2.0},
    {"a page, 600 dpi, from file to SVG : thin its threshold",
     "page_to_svg/pencil",
     "cv::ximgproc::thinning/pencil"},
    {"trace that page, decoded : decode it", "trace_page/pencil", "decode_png/pencil"},
    {"trace a drawing on A4 : the same on A5", "trace_page/on A4", "trace_page/on A5"},
    {"trace a drawing on A3 : the same on A5", "trace_page/on A3", "trace_page/on A5"},
    {"trace 8 sketches on A4 : 4", "trace_page/8 sketches", "trace_page/4 sketches", 2.0},
    {"trace 16 sketches on A4 : 4", "trace_page/16 sketches", "trace_page/4 sketches", 4.0},
    {"six pages side by side : one after the other",
     "trace_planned/together",
     "trace_planned/in turn"},
    {"trace the sample, 300 dpi : decode it", "trace_page/sample", "decode_png/sample"},
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
    {"find the marks of a photo, 12 megapixels : decode one of 7",
     "find_marks/12 megapixels",
     "read_photo/sample"},
    {"eight photos to lines : one to the wall laid out",
     "recover/eight photos",
     "recover/one photo"},
    {"scatter 5,000 copies : scatter 200", "scatter/5000", "scatter/200", 30.0},  // linear: 25
};

struct Seconds {
  const char* text;
  const char* name;
  double most;
};
const std::vector<Seconds> kSeconds = {
    {"the sample from page to proof", "make_piece/sample", 5.0},
    {"scatter 200 copies on a wall", "scatter/200", 2.0},
    {"scatter 5,000 copies on a mural panel", "scatter/5000", 60.0},
    {"a photo of 12 megapixels, from marks to the wall laid out", "recover/one photo", 3.0},
    {"eight photos of 12 megapixels, from marks to lines", "recover/eight photos", 20.0},
};
constexpr double kMostMegabytes = 500.0;  // of the whole run
constexpr double kMostRecovering = 1000.0;
constexpr double kMostBesidePage = 150.0;  // MB, of tracing, beside the decoded pages
constexpr int kPile = 30;

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

double megabytes_of(const std::string& png) {
  return static_cast<double>(decode_png(png).total()) / 1e6;
}

void print_memory(const BenchFiles& files) {
  const auto row = [](const std::string& text, double megabytes, double goal) {
    fmt::print("{:<58} {:>7.0f} {:>15.0f}\n", text, megabytes, goal);
  };
  fmt::print("\n{:<58} {:>7} {:>15}\n", "peak memory of the program", "MB", "goal");
  row("underdraw trace PAGE --whole, A4 at 600 dpi",
      peak_memory_mb({"trace", files.pencil_page(), "--whole", "-o", files.scratch("whole.svg")}),
      megabytes_of(files.pencil_page()) + kMostBesidePage);
  row("underdraw trace PAGE --whole, A3 at 600 dpi",
      peak_memory_mb({"trace", files.on_paper("A3"), "--whole", "-o", files.scratch("a3.svg")}),
      megabytes_of(files.on_paper("A3")) + kMostBesidePage);
  std::vector<std::string> pile = {"trace", "-o", files.scratch("pile")};
  for (const std::string& page : files.pile(kPile)) pile.push_back(page);
  const unsigned at_once = std::min(4U, std::max(1U, std::thread::hardware_concurrency()));
  row(fmt::format("underdraw trace, {} pages, A4 at 300 dpi", kPile),
      peak_memory_mb(pile),
      at_once * (megabytes_of(files.sample_page()) + kMostBesidePage));
  row("underdraw run, the sample",
      peak_memory_mb({"run", files.piece_folder().string()}),
      kMostMegabytes);
  row("underdraw recover, the sample, six photos of 7 megapixels",
      peak_memory_mb({"recover", files.piece_folder().string()}),
      kMostRecovering);
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

  fmt::print("Drawing pages, then measuring on {} cores: two to five minutes\n",
             std::thread::hardware_concurrency());
  std::fflush(stdout);
  const BenchFiles files;
  register_reading(files);
  register_tracing(files);
  register_running(files);
  register_placing();
  register_recovering(files);
  MedianTable table;
  benchmark::RunSpecifiedBenchmarks(&table);
  table.print_medians();
  table.print_ratios(kRatios);
  for (const Seconds& goal : kSeconds) {
    const std::optional<Median> run = table.median(goal.name);
    if (!run) continue;
    fmt::print("{:<58} {:>5.2f} s {:>5.2f} s {:>5.0f} s\n",
               goal.text,
               run->wall_ms / 1e3,
               run->cpu_ms / 1e3,
               goal.most);
  }
  print_memory(files);
#ifndef BENCH_HAS_IMGCODECS
  fmt::print("\ncv::imread is not compared: libopencv-imgcodecs-dev is not installed\n");
#endif
#ifndef BENCH_HAS_XIMGPROC
  fmt::print("\ncv::ximgproc::thinning is not compared: sh tests/install_packages.sh reference\n");
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
