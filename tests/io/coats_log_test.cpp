// The log of a piece: what it takes, what it gives back, and that nothing gets lost.
#include "io/coats_log.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <fstream>
#include <random>
#include <set>
#include <sstream>
#include <thread>

#include <gtest/gtest.h>

#include "core/error.h"
#include "io/own_process.h"
#include "io/record.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using test::all_from;
using test::end_of;
using test::start;

constexpr const char* kJug = R"(
schema = 1
name = "Jug"
[[face]]
name = "wall"
form = "cylinder"
circumference = 300
height = 120
[[colour]]
name = "teal"
kind = "opaque"
on = ["wall"]
[[colour]]
name = "kelp wash"
kind = "wash"
)";

TileReading a_tile(const std::string& name, const std::string& of, TileState state) {
  return {.tile = name,
          .of = of,
          .state = state,
          .colour = {47.5, -20.25, -4.5},
          .spread = 0.9,
          .grey_l = 72.5,
          .photo = "IMG_7.jpg",
          .checksum = std::string(64, 'c')};
}

class CoatsLogTest : public testing::Test {
 protected:
  CoatsLogTest() { std::ofstream(folder_ / "piece.toml") << kJug; }

  std::string refusal_of(const LogContent& content, const LogOptions& options = {}) const {
    try {
      write_log(folder_, content, options);
    } catch (const Error& error) {
      return error.what();
    }
    return "written";
  }
  WorkLog log() const { return log_of_piece(folder_).log; }

  const test::OwnFolder own_;
  const fs::path folder_ = own_.path();
};

TEST_F(CoatsLogTest, GivesBackWhatItWasGiven) {
  write_log(folder_, CoatsLaid{"teal", 3, {}}, {.note = "wide brush; \"soft\""});
  write_log(folder_, CoatsLaid{"kelp wash", 1, {"wall", areas_of_text("7-9,4,12b,ground")}});
  write_log(folder_, Firing{"bisque"});
  write_log(folder_, a_tile("T1", "teal 2, white 1", TileState::bisque));
  write_log(folder_, ColourUsed{"teal", 18.0, 240.0, 3});
  const WorkLog entries = log();
  ASSERT_EQ(entries.size(), 5U);
  for (std::size_t i = 0; i < entries.size(); ++i) {
    EXPECT_EQ(entries[i].id, static_cast<std::int64_t>(i) + 1);
    EXPECT_EQ(entries[i].at.size(), 20U);
    EXPECT_FALSE(entries[i].undone_at);
  }
  EXPECT_EQ(entries[0].note, "wide brush; \"soft\"");
  EXPECT_EQ(std::get<CoatsLaid>(entries[0].content).count, 3);
  const auto& laid = std::get<CoatsLaid>(entries[1].content);
  EXPECT_EQ(laid.place.text(), "wall 4, 7-9, 12b, ground");
  EXPECT_EQ(std::get<Firing>(entries[2].content).stage, "bisque");
  const auto& tile = std::get<TileReading>(entries[3].content);
  EXPECT_EQ(tile.of, "teal 2, white 1");
  EXPECT_EQ(tile.state, TileState::bisque);
  EXPECT_EQ(tile.colour.a, -20.25);
  EXPECT_EQ(tile.grey_l, 72.5);
  EXPECT_EQ(tile.checksum, std::string(64, 'c'));
  EXPECT_NEAR(std::get<ColourUsed>(entries[4].content).ml_per_m2(), 250.0, 1e-9);
}

TEST_F(CoatsLogTest, AnUnknownColourIsRefusedUntilItIsSaidToBeNew) {
  const std::string file = (folder_ / "piece.toml").string();
  EXPECT_EQ(refusal_of(CoatsLaid{"teall", 1, {}}),
            file +
                ": names no colour teall (expected teal, kelp wash); did you mean teal? If not, "
                "add a [[colour]] there, or pass --new-colour");
  EXPECT_EQ(refusal_of(ColourUsed{"cream", 1.0, 10.0, 1}),
            file +
                ": names no colour cream (expected teal, kelp wash); add a [[colour]] there, or "
                "pass --new-colour");
  EXPECT_FALSE(fs::exists(Record::path_in(folder_)));
  EXPECT_EQ(refusal_of(CoatsLaid{"cream", 1, {}}, {.note = {}, .new_colour = true}), "written");
  EXPECT_EQ(refusal_of(CoatsLaid{"cream", 1, {}}), "written");

  std::ofstream(folder_ / "piece.toml") << "schema = 1\nname = \"Jug\"\n";
  take_back(folder_);
  take_back(folder_);
  EXPECT_NE(refusal_of(CoatsLaid{"teal", 1, {}}).find("names no colour yet; add a [[colour]]"),
            std::string::npos);
}

TEST_F(CoatsLogTest, WhatCannotBeIsRefused) {
  EXPECT_NE(refusal_of(CoatsLaid{"teal", 1, {"lid", {}}}).find("has no face lid (expected wall)"),
            std::string::npos);
  const LogOptions any{.note = {}, .new_colour = true};
  for (const LogContent& bad : std::vector<LogContent>{CoatsLaid{"teal", 0, {}},
                                                       CoatsLaid{"teal", 21, {}},
                                                       CoatsLaid{"", 1, {}},
                                                       CoatsLaid{" teal", 1, {}},
                                                       CoatsLaid{"te\nal", 1, {}},
                                                       CoatsLaid{"te\xFF", 1, {}},
                                                       CoatsLaid{std::string(101, 'x'), 1, {}},
                                                       Firing{""},
                                                       Firing{"Bisque"},
                                                       ColourUsed{"teal", 0.0, 10.0, 1},
                                                       ColourUsed{"teal", 1.0, NAN, 1},
                                                       ColourUsed{"teal", 1.0, -4.0, 1},
                                                       ColourUsed{"teal", 1.0, 10.0, 0},
                                                       a_tile("", "teal", TileState::wet)}) {
    EXPECT_THROW(write_log(folder_, bad, any), OptionError);
  }
  EXPECT_THROW(write_log(folder_, Firing{"bisque"}, {.note = "two\nlines"}), OptionError);
  EXPECT_TRUE(log().empty());
}

TEST_F(CoatsLogTest, ATileKeepsItsColour) {
  write_log(folder_, a_tile("T1", "teal 2, white 1", TileState::wet));
  EXPECT_EQ(
      std::get<TileReading>(write_log(folder_, a_tile("T1", "", TileState::dry)).entry.content).of,
      "teal 2, white 1");
  EXPECT_EQ(
      std::get<TileReading>(write_log(folder_, a_tile("teal", "", TileState::dry)).entry.content)
          .of,
      "teal");
  EXPECT_NE(refusal_of(a_tile("T1", "cream", TileState::glazed))
                .find("test tile T1 is of teal 2, white 1; give this one another name"),
            std::string::npos);
}

TEST_F(CoatsLogTest, TakingBackMarksAndDeletesNothing) {
  EXPECT_THROW(take_back(folder_), InputError);
  for (const int count : {1, 2, 3}) write_log(folder_, CoatsLaid{"teal", count, {}});
  EXPECT_EQ(take_back(folder_).id, 3);
  EXPECT_EQ(take_back(folder_, 1).id, 1);
  EXPECT_THROW(take_back(folder_, 1), InputError);
  EXPECT_THROW(take_back(folder_, 7), InputError);
  EXPECT_EQ(log_of_piece(folder_).summary.coats[0].everywhere, 2);
  EXPECT_EQ(take_back(folder_).id, 2);
  EXPECT_THROW(take_back(folder_), InputError);
  const WorkLog entries = log();
  ASSERT_EQ(entries.size(), 3U);
  EXPECT_EQ(std::get<CoatsLaid>(entries[2].content).count, 3);
  for (const LogEntry& entry : entries) EXPECT_TRUE(entry.undone_at);
}

TEST_F(CoatsLogTest, LookingMakesNothing) {
  const LogOfPiece looked = log_of_piece(folder_);
  EXPECT_TRUE(looked.log.empty());
  EXPECT_EQ(looked.summary.coats[0].missing(), 3);
  EXPECT_FALSE(looked.lines_kept);
  EXPECT_FALSE(fs::exists(Record::path_in(folder_)));
}

// The first coat that hides lines is the last moment at which they can be photographed.
TEST_F(CoatsLogTest, TheFirstCoatOverLinesThatNoPhotoShowsIsWarnedOf) {
  std::ofstream(folder_ / "piece.toml", std::ios::app)
      << "[[motif]]\nname = \"kelp\"\nfile = \"kelp.svg\"\n"
         "[[arrange]]\nface = \"wall\"\nstyle = \"band\"\nmotifs = [\"kelp\"]\nat = 60\n";
  EXPECT_TRUE(write_log(folder_, CoatsLaid{"kelp wash", 1, {}}).warnings.empty());
  take_back(folder_);
  const std::vector<std::string> warned = write_log(folder_, CoatsLaid{"teal", 1, {}}).warnings;
  ASSERT_EQ(warned.size(), 1U);
  EXPECT_NE(warned[0].find("no photos of stage drawn are kept"), std::string::npos);
  EXPECT_TRUE(write_log(folder_, CoatsLaid{"teal", 1, {}}).warnings.empty());
}

class CoatsLogKillTest : public CoatsLogTest {
 protected:
  // Entries of every kind, each said through the pipe once it is written.
  int write_many(int pipe, int count) const {
    for (int i = 0; i < count; ++i) {
      const std::vector<LogContent> kinds = {CoatsLaid{"teal", 1, {"wall", areas_of_text("4")}},
                                             Firing{"bisque"},
                                             a_tile("T", "teal", TileState::wet),
                                             ColourUsed{"teal", 1.0, 10.0, 1}};
      const LogEntry entry =
          write_log(folder_, kinds[static_cast<std::size_t>(i) % kinds.size()]).entry;
      const std::string line = std::to_string(entry.id) + "\n";
      if (::write(pipe, line.data(), line.size()) < 0) ::_exit(98);
    }
    return 0;
  }

  // Every entry has its content, and each that was reported is there.
  void expect_whole(const std::string& reported) const {
    std::set<std::int64_t> there;
    for (const LogEntry& entry : log()) there.insert(entry.id);
    const Record record(folder_);
    Statement rows = record.database().statement("SELECT count(*) FROM log_entry");
    ASSERT_TRUE(rows.step());
    EXPECT_EQ(rows.whole(0), static_cast<std::int64_t>(there.size()));
    std::istringstream lines(reported);
    for (std::int64_t id = 0; lines >> id;) EXPECT_TRUE(there.contains(id)) << id;
    EXPECT_EQ(record.database().damage(), "");
  }
};

TEST_F(CoatsLogKillTest, KilledAtAnyMomentLosesNothing) {
  using Clock = std::chrono::steady_clock;
  constexpr int kEntries = 6;
  const auto run = [&](std::optional<Clock::duration> until) {
    int pipe[2];
    EXPECT_EQ(::pipe(pipe), 0);
    const pid_t child = start([&] { return write_many(pipe[1], kEntries); });
    ::close(pipe[1]);
    if (until) {
      std::this_thread::sleep_for(*until);
      ::kill(child, SIGKILL);
    }
    end_of(child);
    std::string reported = all_from(pipe[0]);
    ::close(pipe[0]);
    return reported;
  };
  const auto begin = Clock::now();
  expect_whole(run({}));
  const auto whole = Clock::now() - begin;
  std::mt19937 random(7);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  int partly = 0;
  for (int i = 0; i < 16 && !HasFailure(); ++i) {
    const std::string reported =
        run(std::chrono::duration_cast<Clock::duration>(whole * share(random)));
    const auto lines = std::count(reported.begin(), reported.end(), '\n');
    partly += lines > 0 && lines < kEntries ? 1 : 0;
    expect_whole(reported);
  }
  EXPECT_GE(partly, 4);  // else the moments were badly chosen and the test says nothing
}

TEST_F(CoatsLogKillTest, ManyAtOnceWriteEveryEntryOnce) {
  constexpr int kProcesses = 4;
  constexpr int kEntries = 4;
  std::vector<pid_t> children;
  for (int p = 0; p < kProcesses; ++p) {
    children.push_back(start([&] {
      for (int i = 0; i < kEntries; ++i) write_log(folder_, CoatsLaid{"teal", 1, {}});
      take_back(folder_);
      return 0;
    }));
  }
  for (const pid_t child : children) EXPECT_EQ(end_of(child), 0);
  EXPECT_EQ(log().size(), static_cast<std::size_t>(kProcesses * kEntries));
  EXPECT_EQ(log_of_piece(folder_).summary.coats[0].everywhere, kProcesses * (kEntries - 1));
}

}  // namespace
}  // namespace underdraw
