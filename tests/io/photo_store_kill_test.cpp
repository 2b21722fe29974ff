// The photo store when commands are killed, run at the same time or run out of disk.
#include <algorithm>
#include <chrono>
#include <csignal>
#include <map>
#include <random>
#include <thread>

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <unistd.h>

#include "io/own_process.h"
#include "io/photo_files.h"
#include "io/photo_store.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using namespace testing_pages;
using test::all_from;
using test::end_of;
using test::start;

constexpr int kPhotos = 8;

class PhotoStoreKillTest : public testing::Test {
 protected:
  PhotoStoreKillTest() {
    for (int i = 0; i < kPhotos; ++i) {
      files_.push_back((own_.path() / ("IMG_" + std::to_string(i) + ".jpg")).string());
      write_bytes(files_.back(), small_jpeg(i));
    }
    fs::create_directory(piece_);
  }

  void start_anew() {
    fs::remove_all(piece_);
    fs::create_directory(piece_);
  }

  // One after the other, then the rest at once; says through the pipe what was reported kept.
  int keep_all(int pipe) const {
    const auto keep = [&](const std::vector<std::string>& files) {
      for (const KeptPhoto& photo : keep_photos(piece_, files, options_).photos) {
        const std::string line = photo.row.checksum + "\n";
        if (::write(pipe, line.data(), line.size()) < 0) ::_exit(98);
      }
    };
    for (int i = 0; i < kPhotos / 2; ++i) keep({files_[static_cast<std::size_t>(i)]});
    keep({files_.begin() + kPhotos / 2, files_.end()});
    return 0;
  }

  // Clean after reopening, and everything that was reported kept is there with what was said of it.
  void expect_whole(const std::string& reported) const {
    const VerifyReport report = verify_photos(piece_);
    for (const PhotoFinding& finding : report.findings) ADD_FAILURE() << finding.text;
    std::map<std::string, PhotoRow> rows;
    for (const PhotoRow& row : kept_photos(piece_)) rows[row.checksum] = row;
    for (std::size_t at = 0; at + 65 <= reported.size(); at += 65) {
      EXPECT_TRUE(rows.contains(reported.substr(at, 64)));
    }
    for (const auto& [checksum, row] : rows) {
      EXPECT_EQ(row.state, PhotoState::kept);
      EXPECT_EQ(row.stage, "drawn");
      EXPECT_EQ(row.face, "wall");
      EXPECT_EQ(row.note, "before the blue");
      EXPECT_TRUE(row.original_name.starts_with("IMG_"));
    }
    if (!fs::exists(piece_ / "photos")) return;
    std::size_t files = 0;
    for (const auto& entry : fs::directory_iterator(piece_ / "photos")) {
      EXPECT_TRUE(entry.is_regular_file());
      ++files;
    }
    EXPECT_EQ(files, rows.size());
  }

  // And the photos that were not kept can be kept now.
  void expect_all_can_be_kept() const {
    keep_photos(piece_, files_, options_);
    EXPECT_TRUE(verify_photos(piece_).ok());
    EXPECT_EQ(kept_photos(piece_).size(), static_cast<std::size_t>(kPhotos));
  }

  const test::OwnFolder own_;
  const fs::path piece_ = own_.path() / "jug";
  std::vector<std::string> files_;
  const KeepOptions options_{.stage = "drawn", .face = "wall", .note = "before the blue"};
};

TEST_F(PhotoStoreKillTest, KilledAtAnyMomentLosesNothing) {
  using Clock = std::chrono::steady_clock;
  struct Run {
    bool killed = false;
    std::string reported;
  };
  const auto run = [&](std::optional<Clock::duration> until) {
    int pipe[2];
    EXPECT_EQ(::pipe(pipe), 0);
    const pid_t child = start([&] { return keep_all(pipe[1]); });
    ::close(pipe[1]);
    if (until) {
      std::this_thread::sleep_for(*until);
      ::kill(child, SIGKILL);
    }
    const int status = end_of(child);
    EXPECT_TRUE(WIFSIGNALED(status) || WEXITSTATUS(status) == 0) << status;
    const Run result{.killed = WIFSIGNALED(status), .reported = all_from(pipe[0])};
    ::close(pipe[0]);
    return result;
  };

  const auto begin = Clock::now();
  EXPECT_EQ(run({}).reported.size(), kPhotos * 65U);
  const auto whole = Clock::now() - begin;

  constexpr int kRuns = 60;
  std::mt19937 random(7);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  int killed = 0;
  int partly = 0;
  for (int i = 0; i < kRuns && !HasFailure(); ++i) {
    start_anew();
    const Run result = run(std::chrono::duration_cast<Clock::duration>(whole * share(random)));
    killed += result.killed ? 1 : 0;
    partly += result.killed && !result.reported.empty() ? 1 : 0;
    expect_whole(result.reported);
    if (i % 6 == 0) expect_all_can_be_kept();
  }
  // Else the moments were badly chosen and the test says nothing.
  EXPECT_GE(killed, kRuns / 4);
  EXPECT_GE(partly, kRuns / 10);
}

TEST_F(PhotoStoreKillTest, KilledBetweenAnyTwoStepsLosesNothing) {
  struct Case {
    KeepPoint point;
    std::size_t photos;  // that must be there afterwards
  };
  for (const auto& [point, due] : {Case{KeepPoint::opened, 0},
                                   Case{KeepPoint::copied, 0},
                                   Case{KeepPoint::promised, kPhotos},
                                   Case{KeepPoint::placed, kPhotos},
                                   Case{KeepPoint::recorded, kPhotos}}) {
    start_anew();
    KeepOptions options = options_;
    options.passing = [point = point](KeepPoint now) {
      if (now == point) ::kill(::getpid(), SIGKILL);
    };
    const int status = end_of(start([&] {
      keep_photos(piece_, files_, options);
      return 0;
    }));
    ASSERT_TRUE(WIFSIGNALED(status));
    expect_whole("");
    EXPECT_EQ(kept_photos(piece_).size(), due) << static_cast<int>(point);
    expect_all_can_be_kept();
  }
}

TEST_F(PhotoStoreKillTest, KilledWhileAMissingPhotoReturnsKeepsItsRow) {
  keep_photos(piece_, files_, options_);
  for (KeepPoint point : {KeepPoint::copied, KeepPoint::promised, KeepPoint::placed}) {
    for (const PhotoRow& row : kept_photos(piece_)) fs::remove(piece_ / "photos" / row.name);
    KeepOptions options = options_;
    options.passing = [point](KeepPoint now) {
      if (now == point) ::kill(::getpid(), SIGKILL);
    };
    ASSERT_TRUE(WIFSIGNALED(end_of(start([&] {
      keep_photos(piece_, files_, options);
      return 0;
    }))));
    const VerifyReport report = verify_photos(piece_);
    EXPECT_EQ(report.photos, static_cast<std::size_t>(kPhotos));
    EXPECT_EQ(report.findings.size(), point == KeepPoint::copied ? kPhotos : 0U);
    expect_all_can_be_kept();
  }
}

TEST_F(PhotoStoreKillTest, ManyAtOnceKeepEveryPhotoOnce) {
  constexpr int kProcesses = 5;
  std::vector<pid_t> children;
  for (int p = 0; p < kProcesses; ++p) {
    children.push_back(start([&, p] {
      std::vector<std::string> mine = files_;
      std::rotate(mine.begin(), mine.begin() + p, mine.end());
      const std::string own = (own_.path() / ("own-" + std::to_string(p) + ".jpg")).string();
      write_bytes(own, small_jpeg(1000 + p));
      for (const std::string& file : mine) keep_photos(piece_, {file}, options_);
      mine.push_back(own);
      return keep_photos(piece_, mine, options_).photos.size() == mine.size() ? 0 : 2;
    }));
  }
  for (const pid_t child : children) EXPECT_EQ(end_of(child), 0);
  EXPECT_TRUE(verify_photos(piece_).ok());
  EXPECT_EQ(kept_photos(piece_).size(), static_cast<std::size_t>(kPhotos + kProcesses));
}

// No mount is needed for it: files may grow to a limit and no further, as on a disk that fills up.
TEST_F(PhotoStoreKillTest, AFullDiskKeepsAllOrNothing) {
  int refused = 0;
  int kept = 0;
  for (rlim_t limit : {0, 300, 1'500, 5'000, 9'000, 17'000, 25'000, 40'000, 70'000, 1'000'000}) {
    start_anew();
    const int status = end_of(start([&] {
      ::signal(SIGXFSZ, SIG_IGN);
      const rlimit limits{limit, limit};
      ::setrlimit(RLIMIT_FSIZE, &limits);
      keep_photos(piece_, files_, options_);
      return 0;
    }));
    ASSERT_TRUE(WIFEXITED(status));
    ASSERT_LE(WEXITSTATUS(status), 1) << limit;  // done, or an OutputError
    expect_whole("");
    const std::size_t count = kept_photos(piece_).size();
    if (WEXITSTATUS(status) == 0) {
      EXPECT_EQ(count, static_cast<std::size_t>(kPhotos));
      ++kept;
    } else {
      EXPECT_TRUE(count == 0 || count == kPhotos) << count;
      ++refused;
    }
    expect_all_can_be_kept();
  }
  EXPECT_GE(refused, 3);
  EXPECT_GE(kept, 1);
}

}  // namespace
}  // namespace underdraw
