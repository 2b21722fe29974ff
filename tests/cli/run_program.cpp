#include "cli/run_program.h"

#include <array>
#include <csignal>
#include <cstdlib>
#include <thread>

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace underdraw::test {
namespace {

constexpr uid_t kNobody = 65534;

std::string all_from(int handle) {
  std::string text;
  std::array<char, 4096> buffer;
  for (ssize_t n; (n = ::read(handle, buffer.data(), buffer.size())) > 0;) {
    text.append(buffer.data(), static_cast<std::size_t>(n));
  }
  ::close(handle);
  return text;
}

pid_t start(const std::vector<std::string>& words,
            const ProgramOptions& options,
            int out,
            int err) {
  std::vector<char*> arguments;
  std::string program = UNDERDRAW_PROGRAM;
  arguments.push_back(program.data());
  std::vector<std::string> copies = words;
  for (std::string& word : copies) arguments.push_back(word.data());
  arguments.push_back(nullptr);

  const pid_t child = ::fork();
  if (child != 0) return child;
  ::dup2(out, STDOUT_FILENO);
  ::dup2(err, STDERR_FILENO);
  if (::chdir(options.folder.c_str()) != 0) ::_exit(98);
  if (options.largest_file) {
    const rlimit limits{*options.largest_file, *options.largest_file};
    ::signal(SIGXFSZ, SIG_IGN);
    if (::setrlimit(RLIMIT_FSIZE, &limits) != 0) ::_exit(98);
  }
  if (options.as_nobody && ::geteuid() == 0 && ::setuid(kNobody) != 0) ::_exit(kCannotStepDown);
  ::execv(program.c_str(), arguments.data());
  ::_exit(options.as_nobody ? kCannotStepDown : 97);
}

}  // namespace

ProgramRun run_underdraw(const std::vector<std::string>& words, const ProgramOptions& options) {
  std::array<int, 2> out{};
  std::array<int, 2> err{};
  if (::pipe2(out.data(), O_CLOEXEC) != 0 || ::pipe2(err.data(), O_CLOEXEC) != 0) return {};
  const pid_t child = start(words, options, out[1], err[1]);
  ::close(out[1]);
  ::close(err[1]);
  if (child < 0) return {};
  ProgramRun run;
  std::jthread errors([&] { run.err = all_from(err[0]); });
  run.out = all_from(out[0]);
  errors.join();
  int status = 0;
  ::waitpid(child, &status, 0);
  if (WIFEXITED(status)) run.exit_code = WEXITSTATUS(status);
  return run;
}

pid_t start_underdraw(const std::vector<std::string>& words, const ProgramOptions& options) {
  const int nowhere = ::open("/dev/null", O_WRONLY | O_CLOEXEC);
  const pid_t child = start(words, options, nowhere, nowhere);
  ::close(nowhere);
  return child;
}

}  // namespace underdraw::test
