// Commands that are killed, or at work at the same time: out/ is all of the old or all of the new.
//
// Source: no source; the promise is that of docs/reliability.md.
#include <chrono>
#include <csignal>
#include <fstream>
#include <random>
#include <thread>

#include <gtest/gtest.h>
#include <sys/wait.h>

#include "cli/bad_inputs/harbour.h"
#include "cli/run_program.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

using Clock = std::chrono::steady_clock;

std::size_t files_being_made(const fs::path& piece) {
  std::size_t count = 0;
  std::error_code gone;  // it is at work while we look
  for (fs::directory_iterator it(piece, gone), end; !gone && it != end; it.increment(gone)) {
    if (!it->path().filename().string().starts_with(".underdraw-making-")) continue;
    for (fs::recursive_directory_iterator in(it->path(), gone);
         !gone && in != fs::recursive_directory_iterator();
         in.increment(gone)) {
      ++count;
    }
  }
  return count;
}

class KillTest : public testing::Test {
 protected:
  fs::path piece() const { return desk_ / "tea-bowl"; }

  Contents out() const {
    Contents mine;
    for (const auto& [name, content] : desk_.contents()) {
      if (name.starts_with("tea-bowl/out")) mine[name] = content;
    }
    return mine;
  }
  bool left_something() const {
    for (const auto& entry : fs::directory_iterator(piece())) {
      if (entry.path().filename().string().starts_with(".")) return true;
    }
    return false;
  }

  // Runs it whole, from the old out/.
  Contents made_by(const std::vector<std::string>& words) const {
    const ProgramRun run = desk_.run(words);
    EXPECT_EQ(run.exit_code, 0) << run.err;
    return out();
  }
  void put_back(const Contents& old) const {
    fs::remove_all(piece() / "out");
    for (const auto& [name, content] : old) {
      if (content == "(folder)") {
        fs::create_directories(desk_ / name);
      } else {
        desk_.write(name, content);
      }
    }
  }

  // Starts it from the old out/, kills it once `now` says so, and looks.
  template <typename Now>
  void kill_when(const std::vector<std::string>& words,
                 const Contents& before,
                 const Contents& after,
                 Now now) {
    put_back(before);
    const pid_t child = start_underdraw(words, {.folder = desk_.path()});
    ASSERT_GT(child, 0);
    int status = 0;
    while (!now()) {
      if (::waitpid(child, &status, WNOHANG) == child) break;
      std::this_thread::sleep_for(std::chrono::microseconds(300));
    }
    if (::kill(child, SIGKILL) == 0) ::waitpid(child, &status, 0);
    killed_ += WIFSIGNALED(status) ? 1 : 0;
    const Contents found = out();
    (found == before ? old_ : new_) += 1;
    EXPECT_TRUE(found == before || found == after) << "out/ is neither the old nor the new";
  }

  // Random moments, and each time that so many files more are being made.
  void kill_all_over(const std::vector<std::string>& words, int moments) {
    const Contents before = out();
    const auto start = Clock::now();
    const Contents after = made_by(words);
    const auto whole = Clock::now() - start;
    ASSERT_NE(before, after);
    std::mt19937 random(11);
    std::uniform_real_distribution<double> share(0.0, 1.1);
    for (int i = 0; i < moments && !HasFailure(); ++i) {
      const auto end =
          Clock::now() + std::chrono::duration_cast<Clock::duration>(whole * share(random));
      kill_when(words, before, after, [end] { return Clock::now() >= end; });
    }
    for (std::size_t files = 1; files < after.size() && !HasFailure(); files += 6) {
      kill_when(words, before, after, [&, files] { return files_being_made(piece()) >= files; });
    }
    // Else the moments were badly chosen and the test says nothing.
    EXPECT_GE(killed_, moments / 2);
    EXPECT_GE(old_, moments / 2);
    // What was left lying is swept by the next command, which is not hindered by it.
    put_back(before);
    EXPECT_EQ(made_by(words), after);
    EXPECT_FALSE(left_something());
  }

  const Harbour desk_;
  int killed_ = 0, old_ = 0, new_ = 0;
};

TEST_F(KillTest, RunLeavesOutWholeWheneverItIsKilled) {
  desk_.replace("tea-bowl/piece.toml", "name = \"Tea bowl\"", "name = \"Sugar bowl\"");
  kill_all_over({"run", "tea-bowl"}, 8);
}

TEST_F(KillTest, RunsAtTheSameTimeDoNoHarm) {
  const Contents traced = made_by({"trace", "tea-bowl"});
  const Contents whole = made_by({"run", "tea-bowl"});
  std::vector<pid_t> children;
  for (const char* command : {"run", "trace", "run"}) {
    children.push_back(start_underdraw({command, "tea-bowl"}, {.folder = desk_.path()}));
  }
  for (const pid_t child : children) {
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << status;
  }
  const Contents found = out();
  EXPECT_TRUE(found == traced || found == whole);
  EXPECT_FALSE(left_something());
}

}  // namespace
}  // namespace underdraw::test
