// Keeps the median of every benchmark and prints ratios of them.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include <benchmark/benchmark.h>

namespace underdraw::bench {

struct Median {
  double wall_ms = 0.0;
  double cpu_ms = 0.0;  // of all threads
  double spread = 0.0;  // standard deviation of the wall time as a share of its mean
};

// "tracing takes 0.8 times what decoding takes".
struct Ratio {
  std::string text;
  std::string measured;   // name of a benchmark
  std::string reference;  // name of another one
  std::optional<double> goal = {};
};

class MedianTable : public benchmark::BenchmarkReporter {
 public:
  bool ReportContext(const Context&) override { return true; }
  void ReportRuns(const std::vector<Run>& runs) override;

  bool failed() const { return failed_; }
  std::optional<Median> median(const std::string& name) const;
  void print_medians() const;
  void print_ratios(const std::vector<Ratio>& ratios) const;  // "-" where one is missing

 private:
  std::map<std::string, Median> medians_;
  bool failed_ = false;
};

}  // namespace underdraw::bench
