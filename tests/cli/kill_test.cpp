// Commands that are killed, or at work at the same time: out/ is all of the old or all of the new.
//
// Source: no source; the promise is that of docs/reliability.md.
#include <chrono>
#include <csignal>
#include <fstream>
#include <random>
#include <thread>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>
#include <sys/wait.h>

#include "cli/bad_inputs/harbour.h"
#include "cli/run_program.h"
#include "io/page_files.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

using namespace testing_pages;
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

  // Random moments, and each time that `files_apart` files more are being made.
  void kill_all_over(const std::vector<std::string>& words, int moments, std::size_t files_apart) {
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
    for (std::size_t files = 1; files < after.size() && !HasFailure(); files += files_apart) {
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
  kill_all_over({"run", "tea-bowl"}, 8, 6);
}

// The same mottled clay twice, a little apart: before with a line on it, after without.
Bytes mottled_clay(bool drawn) {
  cv::Mat clay(360, 480, CV_32FC1, cv::Scalar(60));
  cv::RNG random(5);
  for (const int grain : {3, 9, 27}) {
    cv::Mat coarse(clay.rows / grain, clay.cols / grain, CV_32FC1);
    random.fill(coarse, cv::RNG::UNIFORM, 0.0, 60.0);
    cv::Mat fine;
    cv::resize(coarse, fine, clay.size(), 0.0, 0.0, cv::INTER_CUBIC);
    clay += fine;
  }
  cv::Mat photo;
  clay.convertTo(photo, CV_8UC1);
  cv::cvtColor(photo, photo, cv::COLOR_GRAY2RGB);
  if (drawn) {
    cv::ellipse(photo, {240, 180}, {70, 60}, 20.0, 0.0, 290.0, {30, 30, 60}, 4, cv::LINE_AA);
    cv::line(photo, {150, 120}, {260, 170}, {30, 30, 60}, 4, cv::LINE_AA);
  }
  const cv::Mat moved = (cv::Mat_<double>(2, 3) << 1.0, 0.01, drawn ? 0.0 : 5.0, -0.01, 1.0, 2.0);
  cv::warpAffine(photo, photo, moved, photo.size(), cv::INTER_CUBIC, cv::BORDER_REFLECT);
  return jpeg_bytes(photo);
}

TEST_F(KillTest, RecoverLeavesOutWholeWheneverItIsKilled) {
  for (const bool drawn : {true, false}) {
    const std::string stage = drawn ? "drawn" : "covered-again";
    write_bytes((desk_ / (stage + ".jpg")).string(), mottled_clay(drawn));
    desk_.run({"keep", "tea-bowl", stage + ".jpg", "--stage", stage});
  }
  kill_all_over({"recover", "tea-bowl"}, 3, 15);
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
