// Work in a process of its own, which a test may kill.
#pragma once

#include <cstdio>
#include <exception>
#include <string>

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/error.h"

namespace underdraw::test {

// What `work` returns is the exit code; 1 for an OutputError, 99 for any other.
template <typename Work>
pid_t start(Work work) {
  const pid_t child = ::fork();
  if (child != 0) return child;
  int code = 99;
  try {
    code = work();
  } catch (const OutputError&) {
    code = 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
  }
  ::_exit(code);
}

inline int end_of(pid_t child) {
  int status = 0;
  EXPECT_EQ(::waitpid(child, &status, 0), child);
  return status;
}

// Until the other end is closed.
inline std::string all_from(int pipe) {
  std::string text;
  char buffer[4096];
  for (ssize_t got = 0; (got = ::read(pipe, buffer, sizeof buffer)) > 0;) {
    text.append(buffer, static_cast<std::size_t>(got));
  }
  return text;
}

}  // namespace underdraw::test
