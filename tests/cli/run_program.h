// Runs the built program as a person would and keeps what it said.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <sys/types.h>

namespace underdraw::test {

struct ProgramRun {
  int exit_code = -1;  // -1: could not be run, or was ended by a signal
  std::string out, err;
};

struct ProgramOptions {
  std::filesystem::path folder = {};  // where it runs
  bool as_nobody = false;             // root steps down to a user who may write nothing
  // Files may grow to this and no further, as on a disk that fills up; bytes.
  std::optional<std::size_t> largest_file = {};
};

// For a test that has to be skipped: the exit code of a root who cannot step down.
constexpr int kCannotStepDown = 99;

ProgramRun run_underdraw(const std::vector<std::string>& words, const ProgramOptions& options);

// Begins, saying nothing, and leaves it to the caller to wait for it or to kill it.
pid_t start_underdraw(const std::vector<std::string>& words, const ProgramOptions& options);

}  // namespace underdraw::test
