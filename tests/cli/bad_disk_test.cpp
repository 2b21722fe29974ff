// Good input gives the same again, and disks and folders that cannot be written are refused in one
// clear line with the last good out/ untouched. Bad input is in bad_inputs/.
#include <fstream>
#include <iterator>

#include <gtest/gtest.h>
#include <sys/mount.h>

#include "cli/bad_inputs/harbour.h"
#include "cli/run_program.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

std::string text_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(GoodInput, MakesTheSameOutputTwice) {
  const Harbour desk;
  const Contents first = desk.contents();
  ASSERT_EQ(desk.run({"run", "tea-bowl"}).exit_code, 0);
  EXPECT_EQ(changes(first, desk.contents()), "");
}

TEST(GoodInput, TakesFoldersAndNamesWithSpacesUmlautsAndQuotes) {
  const Harbour desk;
  const std::string odd = "Krüge für \"Silke\" & 'Tam'";
  std::string text = text_of(desk.toml());
  for (std::size_t at; (at = text.find("\"hook\"")) != std::string::npos;) {
    text.replace(at, 6, "'Möwe \"groß\" 1'");
  }
  fs::rename(desk / "tea-bowl", desk / odd);
  desk.write(odd + "/piece.toml", text);
  const ProgramRun run = desk.run({"run", odd});
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_TRUE(fs::exists(desk / odd / "out/motifs/Möwe \"groß\" 1.svg"));
  EXPECT_TRUE(fs::exists(desk / odd / "out/variants/Möwe \"groß\" 1-mirrored.svg"));
}

TEST(ClassRun, NamesWhoIsMissingLastAndMakesTheRest) {
  const Harbour desk;
  desk.write("class/class.toml",
             text_of(desk / "class/class.toml") + "\n[[person]]\nname = \"Page\"\n");
  const ProgramRun run = desk.run({"run", "class", "--json"});
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_EQ(run.out.rfind("{", 0), 0U);
  EXPECT_NE(run.out.find("\"problem\""), std::string::npos);
  EXPECT_TRUE(run.err.ends_with("1 of 2 persons not made, the others are\n")) << run.err;
  EXPECT_NE(run.err.find("Page: "), std::string::npos) << run.err;
  EXPECT_TRUE(fs::exists(desk / "class/out/sheets/01-Tove.pdf"));
  EXPECT_TRUE(fs::exists(desk / "class/out/printer.pdf"));
}

TEST(StageCommands, PublishTheirOwnResultAndNothingOlder) {
  const Harbour desk;
  ASSERT_EQ(desk.run({"trace", "tea-bowl"}).exit_code, 0);
  std::size_t files = 0;
  for (const auto& entry : fs::recursive_directory_iterator(desk / "tea-bowl/out")) {
    files += entry.is_regular_file() ? 1 : 0;
  }
  EXPECT_EQ(files, 2U);
  EXPECT_TRUE(fs::exists(desk / "tea-bowl/out/motifs/hook.svg"));
  EXPECT_TRUE(fs::exists(desk / "tea-bowl/out/motifs/ring.svg"));
}

// What must not work on such a disk, and what each names.
std::vector<BadInput> writing_commands(const std::string& why) {
  return {{"run", {"run", "tea-bowl"}, 1, {"tea-bowl", why}},
          {"keep", {"keep", "tea-bowl", "IMG_2.jpg", "--stage", "bisque"}, 1, {"tea-bowl", why}},
          {"new", {"new", "jar"}, 1, {why}},
          {"trace", {"trace", "page.png", "-o", "traced"}, 1, {why}},
          {"vary", {"vary", "hook.svg", "-o", "varied"}, 1, {why}},
          {"sheet", {"sheet", "hook.svg", "-o", "a.pdf"}, 1, {why}},
          {"mat", {"mat", "--foot", "90", "-o", "mat.pdf"}, 1, {why}}};
}

void expect_refused(const Harbour& desk,
                    const std::vector<BadInput>& rows,
                    const ProgramOptions& options) {
  const Contents before = desk.contents();
  for (const BadInput& bad : rows) {
    const ProgramRun run = desk.run(bad.words, options);
    if (run.exit_code == kCannotStepDown) GTEST_SKIP() << "root cannot run it as another user here";
    // The record's log is SQLite's own, and a part of the record until it is opened next.
    Contents after = desk.contents();
    std::erase_if(after, [](const auto& file) {
      return file.first.ends_with("record.db-wal") || file.first.ends_with("record.db-shm");
    });
    const std::string wrong = broken_promises(bad, run) + changes(before, after);
    if (!wrong.empty()) ADD_FAILURE() << bad.wrong << "\n" << wrong << "  it said: " << run.err;
  }
}

TEST(UnwritableFolder, IsRefusedWithoutPermission) {
  const Harbour desk;
  for (const auto& entry : fs::recursive_directory_iterator(desk.path())) {
    fs::permissions(entry.path(), fs::perms{entry.is_directory() ? 0555U : 0444U});
  }
  fs::permissions(desk.path(), fs::perms{0555});
  expect_refused(desk, writing_commands("permission"), {.as_nobody = true});
}

// A small disk with a copy of the desk on it, as long as it lives.
class SmallDisk {
 public:
  SmallDisk(const Harbour& desk, const std::string& options) : at_(desk / "disk") {
    fs::create_directory(at_);
    mounted_ = ::mount("none", at_.c_str(), "tmpfs", 0, options.c_str()) == 0;
    if (!mounted_) return;
    for (const auto& entry : fs::directory_iterator(desk.path())) {
      if (entry.path() == at_) continue;
      fs::copy(entry.path(), at_ / entry.path().filename(), fs::copy_options::recursive);
    }
  }
  ~SmallDisk() {
    if (mounted_) ::umount2(at_.c_str(), MNT_DETACH);
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;

  bool mounted() const { return mounted_; }
  const fs::path& at() const { return at_; }
  void fill() const {
    std::ofstream file(at_ / "filler", std::ios::binary);
    const std::string block(4096, 'x');
    while (file << block << std::flush) {
    }
  }
  bool make_read_only() const {
    return ::mount("none", at_.c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY, nullptr) == 0;
  }

 private:
  fs::path at_;
  bool mounted_ = false;
};

TEST(UnwritableFolder, IsRefusedOnAReadOnlyDisk) {
  const Harbour desk;
  const SmallDisk disk(desk, "size=64m");
  if (!disk.mounted() || !disk.make_read_only()) {
    GTEST_SKIP() << "mounting a disk needs root with the right to";
  }
  expect_refused(desk, writing_commands("read-only"), {.folder = disk.at()});
}

TEST(UnwritableFolder, IsRefusedOnAFullDisk) {
  const Harbour desk;
  const SmallDisk disk(desk, "size=16m");
  if (!disk.mounted()) GTEST_SKIP() << "mounting a disk needs root with the right to";
  disk.fill();
  expect_refused(desk, writing_commands("the disk is full"), {.folder = disk.at()});
}

// The same without the right to mount: files cannot grow beyond some size.
TEST(UnwritableFolder, IsRefusedWhereFilesCannotGrow) {
  const Harbour desk;
  expect_refused(desk, writing_commands("larger than a file may be here"), {.largest_file = 100});
}

}  // namespace
}  // namespace underdraw::test
