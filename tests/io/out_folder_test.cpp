#include "io/out_folder.h"

#include <chrono>
#include <fstream>
#include <map>
#include <sstream>
#include <thread>

#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/error.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

std::string content_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

// Every file under a folder with its content; what "untouched" is measured by.
std::map<std::string, std::string> everything_in(const fs::path& folder) {
  std::map<std::string, std::string> all;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const std::string name = fs::relative(entry.path(), folder).string();
    all[name] = entry.is_regular_file() ? content_of(entry.path()) : "(folder)";
  }
  return all;
}

class OutFolderTest : public testing::TestWithParam<bool> {
 protected:
  void publish(const std::string& file, const std::string& content) const {
    OutFolder out(folder_, {}, {.exchange = GetParam()});
    out.write(file, content);
    out.publish();
  }

  const test::OwnFolder own_;
  const fs::path folder_ = own_.path();
};

INSTANTIATE_TEST_SUITE_P(Swap, OutFolderTest, testing::Bool(), [](const auto& way) {
  return way.param ? "Exchange" : "TwoRenames";
});

using Listing = std::map<std::string, std::string>;

TEST_P(OutFolderTest, HoldsOneRunNeverAMixOfTwo) {
  publish("motifs/kelp.svg", "first");
  publish("map.pdf", "second");
  EXPECT_EQ(everything_in(folder_), (Listing{{"out", "(folder)"}, {"out/map.pdf", "second"}}));
}

TEST_P(OutFolderTest, AddsToWhatAnotherCommandMade) {
  publish("motifs/kelp.svg", "kelp");
  for (const char* overlay : {"new.png", "newer.png"}) {
    OutFolder out(folder_, {}, {.exchange = GetParam()});
    out.write(fs::path("overlays") / overlay, overlay);
    out.take_over_all_but({"overlays"});
    out.publish();
  }
  EXPECT_EQ(everything_in(folder_),
            (Listing{{"out", "(folder)"},
                     {"out/motifs", "(folder)"},
                     {"out/motifs/kelp.svg", "kelp"},
                     {"out/overlays", "(folder)"},
                     {"out/overlays/newer.png", "newer.png"}}));
}

TEST_P(OutFolderTest, LeavesTheLastGoodOutputWhenTheWorkFails) {
  publish("map.pdf", "good");
  const auto before = everything_in(folder_);
  EXPECT_THROW(
      {
        OutFolder out(folder_, {}, {.exchange = GetParam()});
        out.write("map.pdf", "half");
        throw InputError({.file = "x", .line = {}, .found = "y", .expected = {}, .remedy = {}});
      },
      InputError);
  EXPECT_EQ(everything_in(folder_), before);
}

TEST_P(OutFolderTest, SweepsWhatAKilledRunLeft) {
  publish("map.pdf", "good");
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    OutFolder out(folder_, {}, {.exchange = GetParam()});
    out.write("map.pdf", "half");
    ::_exit(0);  // no destructor runs, as in a kill
  }
  ::waitpid(child, nullptr, 0);
  EXPECT_EQ(everything_in(folder_).size(), 4U);  // out, out/map.pdf, and the two left behind
  publish("map.pdf", "new");
  EXPECT_EQ(everything_in(folder_), (Listing{{"out", "(folder)"}, {"out/map.pdf", "new"}}));
}

TEST_P(OutFolderTest, PutsTheOldOutputBackAfterAStopBetweenTwoRenames) {
  publish("map.pdf", "good");
  fs::rename(folder_ / "out", folder_ / ".underdraw-before-0123456789abcdef");
  { const OutFolder out(folder_); }
  EXPECT_EQ(everything_in(folder_), (Listing{{"out", "(folder)"}, {"out/map.pdf", "good"}}));
}

TEST_P(OutFolderTest, MakesASecondCommandWaitAndSaySo) {
  std::string said;
  std::string order;
  std::jthread second;
  {
    OutFolder first(folder_, {}, {.exchange = GetParam()});
    second = std::jthread([&] {
      OutFolder out(folder_, [&](const std::string& line) { said = line; });
      order += " second";
      out.write("a", "second");
      out.publish();
    });
    std::this_thread::sleep_for(std::chrono::milliseconds(1200));
    order += "first";
    first.write("a", "first");
    first.publish();
  }
  second.join();
  EXPECT_EQ(order, "first second");
  EXPECT_NE(said.find("waiting"), std::string::npos) << said;
  EXPECT_EQ(content_of(folder_ / "out/a"), "second");
}

TEST_P(OutFolderTest, KeepsOutWholeUnderManyWritersAtOnce) {
  std::vector<std::jthread> writers;
  for (int i = 0; i < 8; ++i) {
    writers.emplace_back([&, i] {
      for (int n = 0; n < 5; ++n) {
        OutFolder out(folder_, {}, {.exchange = GetParam()});
        out.write("a", std::to_string(i));
        out.write("b/c", std::to_string(i));
        out.publish();
      }
    });
  }
  writers.clear();
  const auto all = everything_in(folder_);
  EXPECT_EQ(all.size(), 4U);  // out, a, b, b/c: nothing hidden stays
  EXPECT_EQ(all.at("out/a"), all.at("out/b/c"));
}

TEST_P(OutFolderTest, RefusesOutThatIsAFileOrALink) {
  std::ofstream(folder_ / "out") << "mine";
  try {
    publish("map.pdf", "x");
    FAIL() << "a file named out was accepted";
  } catch (const OutputError& error) {
    EXPECT_EQ(error.complaint().found, "is a file");
  }
  EXPECT_EQ(content_of(folder_ / "out"), "mine");

  fs::remove(folder_ / "out");
  fs::create_directory(folder_ / "elsewhere");
  fs::create_directory_symlink(folder_ / "elsewhere", folder_ / "out");
  EXPECT_THROW(publish("map.pdf", "x"), OutputError);
  EXPECT_TRUE(fs::is_empty(folder_ / "elsewhere"));
}

TEST_P(OutFolderTest, SaysWhenTheFolderIsMissing) {
  try {
    OutFolder out(folder_ / "nowhere");
    FAIL() << "a missing folder was accepted";
  } catch (const OutputError& error) {
    EXPECT_EQ(error.complaint().file, (folder_ / "nowhere").string());
    EXPECT_FALSE(error.complaint().remedy.empty());
  }
}

TEST_P(OutFolderTest, LeavesTheLastGoodOutputOnAFullDisk) {
  if (::geteuid() != 0) GTEST_SKIP() << "mounting a small disk needs root";
  const fs::path disk = folder_ / "disk";
  fs::create_directory(disk);
  if (::mount("none", disk.c_str(), "tmpfs", 0, "size=256k") != 0) {
    GTEST_SKIP() << "this machine does not let root mount a small disk";
  }
  std::string complaint;
  Listing before;
  Listing after;
  try {
    OutFolder good(disk, {}, {.exchange = GetParam()});
    good.write("map.pdf", "good");
    good.publish();
  } catch (const OutputError& error) {
    ADD_FAILURE() << error.what();
  }
  before = everything_in(disk);
  try {
    OutFolder out(disk, {}, {.exchange = GetParam()});
    out.write("small", "fits");
    out.write("large", std::string(1 << 20, 'x'));
    out.publish();
  } catch (const OutputError& error) {
    complaint = error.what();
  }
  after = everything_in(disk);
  ::umount(disk.c_str());
  EXPECT_NE(complaint.find("the disk is full"), std::string::npos) << complaint;
  EXPECT_EQ(complaint.find(".underdraw"), std::string::npos) << complaint;
  EXPECT_EQ(after, before);
}

// Whether the work is refused for want of permission; run as an ordinary user.
TEST_P(OutFolderTest, RefusesAFolderThatMayNotBeWritten) {
  publish("map.pdf", "good");
  fs::permissions(folder_, fs::perms::owner_write, fs::perm_options::remove);
  fs::permissions(folder_,
                  fs::perms::others_read | fs::perms::others_exec,
                  fs::perm_options::add);  // readable by anybody, so that only writing fails
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    if (::geteuid() == 0 && ::setuid(65534) != 0) ::_exit(3);
    try {
      publish("map.pdf", "new");
    } catch (const OutputError& error) {
      const std::string text = error.what();
      ::_exit(text.find("permission") != std::string::npos ? 0 : 2);
    } catch (...) {
      ::_exit(4);
    }
    ::_exit(1);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  fs::permissions(folder_, fs::perms::owner_write, fs::perm_options::add);
  ASSERT_TRUE(WIFEXITED(status));
  if (WEXITSTATUS(status) == 3) GTEST_SKIP() << "root cannot become an ordinary user here";
  EXPECT_EQ(WEXITSTATUS(status), 0);
  EXPECT_EQ(everything_in(folder_), (Listing{{"out", "(folder)"}, {"out/map.pdf", "good"}}));
}

using OutFilesTest = OutFolderTest;
INSTANTIATE_TEST_SUITE_P(Any, OutFilesTest, testing::Values(true));

TEST_P(OutFilesTest, WritesAllOrNothing) {
  std::ofstream(folder_ / "kelp.svg") << "mine";
  try {
    OutFiles files(folder_, Overwrite::no);
    files.write("feather.svg", "new");
    files.write("kelp.svg", "new");
    files.publish();
    FAIL() << "an existing file was taken";
  } catch (const OutputError& error) {
    EXPECT_EQ(error.complaint().file, (folder_ / "kelp.svg").string());
    EXPECT_NE(error.complaint().remedy.find("--overwrite"), std::string::npos);
  }
  EXPECT_EQ(everything_in(folder_), (Listing{{"kelp.svg", "mine"}}));

  OutFiles files(folder_, Overwrite::yes);
  files.write("feather.svg", "new");
  files.write("kelp.svg", "new");
  files.publish();
  EXPECT_EQ(content_of(folder_ / "kelp.svg"), "new");
  EXPECT_EQ(content_of(folder_ / "feather.svg"), "new");
}

TEST_P(OutFilesTest, TakesNamesWithSpacesUmlautsAndQuotes) {
  const fs::path folder = folder_ / "Hafenkrüge \"neu\" für 'Silke'";
  write_file(folder / "Tang & Möwe 1.svg", "lines", Overwrite::no);
  EXPECT_EQ(content_of(folder / "Tang & Möwe 1.svg"), "lines");
}

TEST_P(OutFilesTest, NeverReplacesAFolder) {
  fs::create_directory(folder_ / "map.pdf");
  EXPECT_THROW(write_file(folder_ / "map.pdf", "x", Overwrite::yes), OutputError);
  EXPECT_TRUE(fs::is_directory(folder_ / "map.pdf"));
}

TEST_P(OutFilesTest, GivesFilesTheRightsThatThePersonAskedFor) {
  const mode_t old = ::umask(022);
  write_file(folder_ / "a.svg", "x", Overwrite::no);
  publish("b.svg", "x");
  ::umask(old);
  EXPECT_EQ(fs::status(folder_ / "a.svg").permissions(), fs::perms{0644});
  EXPECT_EQ(fs::status(folder_ / "out").permissions(), fs::perms{0755});
}

}  // namespace
}  // namespace underdraw
