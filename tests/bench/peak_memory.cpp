// Runs a program and says how much memory it held at most.
//
// What it demonstrates: why this is a program of its own. Linux counts what a process held before
// it became another program, so whoever starts the measured one has to be small itself.
//
//   peak_memory PROGRAM ARGUMENTS…    prints MB (10^6 bytes); what PROGRAM prints is thrown away
#include <cstdio>
#include <cstdlib>

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

int main(int argc, char** argv) {
  if (argc < 2) {
    std::fputs("usage: peak_memory PROGRAM ARGUMENTS…\n", stderr);
    return 2;
  }
  const pid_t child = ::fork();
  if (child == 0) {
    const int nowhere = ::open("/dev/null", O_WRONLY | O_CLOEXEC);
    ::dup2(nowhere, STDOUT_FILENO);
    ::execv(argv[1], argv + 1);
    std::perror(argv[1]);
    ::_exit(127);
  }
  int status = 0;
  rusage used{};
  if (child < 0 || ::wait4(child, &status, 0, &used) != child) {
    std::perror("peak_memory");
    return 1;
  }
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
    std::fprintf(stderr, "peak_memory: %s failed\n", argv[1]);
    return 1;
  }
  std::printf("%.1f\n", static_cast<double>(used.ru_maxrss) * 1024.0 / 1e6);  // kept in KiB
  return 0;
}
