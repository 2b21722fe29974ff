// Bad input, end to end: one clear line with a remedy, exit 1, and the last good out/ untouched.
#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <map>
#include <sstream>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>
#include <sys/mount.h>
#include <unistd.h>
#include <zlib.h>

#include "cli/run_program.h"
#include "io/page_files.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

using namespace testing_pages;

constexpr const char* kPieceToml = R"(schema = 1
name = "Tea bowl"

[paper]
size = "A4"

[transfer]
method = "carbon"

[[page]]
file = "pages/page.png"
names = ["hook", "ring"]

[[face]]
name = "wall"
form = "cylinder"
circumference = 240
height = 70

[[arrange]]
face = "wall"
style = "band"
motifs = ["hook", "ring"]
height = 20
gap = 6
)";

// Two drawings on a page of 100 x 60 mm at 300 dpi.
cv::Mat two_sketches() {
  cv::Mat page(709, 1181, CV_8UC1, cv::Scalar(245));
  const cv::Scalar ink(60);
  cv::ellipse(page, {280, 420}, {110, 110}, 0, 0, 180, ink, 6, cv::LINE_AA);
  cv::line(page, {170, 420}, {170, 160}, ink, 6, cv::LINE_AA);
  cv::ellipse(page, {850, 350}, {150, 190}, 0, 0, 360, ink, 6, cv::LINE_AA);
  cv::line(page, {700, 350}, {1000, 350}, ink, 6, cv::LINE_AA);
  return page;
}

std::string text_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

void write_text(const fs::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

std::map<std::string, std::string> everything_in(const fs::path& folder) {
  std::map<std::string, std::string> all;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const std::string name = fs::relative(entry.path(), folder).string();
    all[name] = entry.is_regular_file() ? text_of(entry.path()) : "(folder)";
  }
  return all;
}

// The folder tea-bowl/ with a good out/.
class PieceFolder {
 public:
  PieceFolder() {
    fs::permissions(parent(), fs::perms{0755});
    fs::create_directories(root() / "pages");
    write_png(page(), two_sketches());
    write_text(toml(), kPieceToml);
  }

  const fs::path& parent() const { return own_.path(); }
  fs::path root() const { return parent() / "tea-bowl"; }
  fs::path toml() const { return root() / "piece.toml"; }
  std::string page() const { return (root() / "pages/page.png").string(); }

  void replace_in_toml(const std::string& from, const std::string& to) const {
    std::string text = text_of(toml());
    const std::size_t at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    write_text(toml(), text.replace(at, from.size(), to));
  }

 private:
  test::OwnFolder own_;
};

ProgramRun run_in(const PieceFolder& piece, const std::vector<std::string>& words) {
  return run_underdraw(words, {.folder = piece.parent()});
}

void expect_one_clear_line(const ProgramRun& run,
                           const std::string& file,
                           const std::string& found) {
  EXPECT_EQ(run.exit_code, 1) << run.err;
  EXPECT_EQ(run.out, "");
  EXPECT_EQ(std::count(run.err.begin(), run.err.end(), '\n'), 1) << run.err;
  EXPECT_TRUE(run.err.starts_with("underdraw: ")) << run.err;
  EXPECT_NE(run.err.find(file), std::string::npos) << "names " << file << ": " << run.err;
  EXPECT_NE(run.err.find(found), std::string::npos) << "says " << found << ": " << run.err;
  // A remedy follows a semicolon, see core/error.h.
  const std::size_t remedy = run.err.rfind("; ");
  ASSERT_NE(remedy, std::string::npos) << "has a remedy: " << run.err;
  EXPECT_GT(run.err.size() - remedy, 8U) << run.err;
}

struct BadInput {
  std::string name;
  std::function<void(const PieceFolder&)> spoil;
  std::string file;   // that the complaint must name
  std::string found;  // a part of what it must say
};

void PrintTo(const BadInput& bad, std::ostream* out) { *out << bad.name; }

// A valid PNG header of that many pixels, and hardly anything behind it.
void write_huge_header(const std::string& path, std::uint32_t side) {
  Bytes bytes = bytes_of(path);
  for (int i = 0; i < 4; ++i) {
    const auto byte = static_cast<std::uint8_t>(side >> (24 - 8 * i));
    bytes[static_cast<std::size_t>(16 + i)] = byte;
    bytes[static_cast<std::size_t>(20 + i)] = byte;
  }
  const auto sum = static_cast<std::uint32_t>(::crc32(0, bytes.data() + 12, 17));
  for (int i = 0; i < 4; ++i) {
    bytes[static_cast<std::size_t>(29 + i)] = static_cast<std::uint8_t>(sum >> (24 - 8 * i));
  }
  write_bytes(path, bytes);
}

std::vector<BadInput> bad_inputs() {
  const auto page = [](cv::Mat image, PngLook look = {}) {
    return [image, look](const PieceFolder& piece) { write_png(piece.page(), image, look); };
  };
  const auto toml = [](std::string from, std::string to) {
    return [from, to](const PieceFolder& piece) { piece.replace_in_toml(from, to); };
  };
  const std::string png = "tea-bowl/pages/page.png";
  const std::string file = "tea-bowl/piece.toml";
  return {
      {"MissingPage", [](const PieceFolder& p) { fs::remove(p.page()); }, png, ""},
      {"TruncatedPage",
       [](const PieceFolder& p) { fs::resize_file(p.page(), fs::file_size(p.page()) / 2); },
       png,
       ""},
      {"EmptyPage", [](const PieceFolder& p) { fs::resize_file(p.page(), 0); }, png, "empty"},
      {"TextNamedPng",
       [](const PieceFolder& p) { write_text(p.page(), "Kelp, thistle and rope.\n"); },
       png,
       ""},
      {"BlankPage", page(cv::Mat(709, 1181, CV_8UC1, cv::Scalar(245))), png, ""},
      {"BlackPage", page(cv::Mat(709, 1181, CV_8UC1, cv::Scalar(8))), png, ""},
      {"NoResolution", page(two_sketches(), {.px_per_metre = {}}), png, "dpi"},
      {"OneDpi", page(two_sketches(), {.px_per_metre = 39}), png, "dpi"},
      {"HugeDpi", page(two_sketches(), {.px_per_metre = 400000}), png, "dpi"},
      {"HugeHeader", [](const PieceFolder& p) { write_huge_header(p.page(), 60000); }, png, "60"},
      {"EncryptedPdf",
       [](const PieceFolder& p) {
         write_pdf(p.page(), {PdfPage{}}, {.user_password = "kiln", .owner_password = "kiln"});
       },
       png,
       "password"},
      {"PageOutOfRange", toml("names =", "page = 7\nnames ="), png, "7"},
      {"TooManyNames", toml("\"ring\"]", "\"ring\", \"rope\"]"), png, "2 sketches found"},
      {"MissingPieceFile", [](const PieceFolder& p) { fs::remove(p.toml()); }, file, ""},
      {"EmptyPieceFile", [](const PieceFolder& p) { fs::resize_file(p.toml(), 0); }, file, ""},
      {"NotToml", toml("schema = 1", "schema == 1"), file + ":1", ""},
      {"UnknownKey", toml("height = 70", "hieght = 70"), file + ":", "hieght"},
      {"WrongType", toml("circumference = 240", "circumference = \"240\""), file + ":17", ""},
      {"NegativeLength", toml("circumference = 240", "circumference = -240"), file + ":17", "-240"},
      {"NanLength", toml("circumference = 240", "circumference = nan"), file + ":17", "nan"},
      {"InfiniteLength", toml("circumference = 240", "circumference = inf"), file + ":17", "inf"},
      {"UnknownMotif", toml("motifs = [\"hook\"", "motifs = [\"hoop\""), file + ":", "hoop"},
      {"NameWithSlash", toml("names = [\"hook\"", "names = [\"../../hook\""), "", "hook"},
      {"MotifHigherThanFace", toml("height = 20", "height = 90"), "", "90"},
      {"MotifLargerThanPaper",
       [](const PieceFolder& p) {
         p.replace_in_toml("size = \"A4\"", "size = [60, 60]");
         p.replace_in_toml("height = 20", "height = 60");
       },
       "",
       "60"},
      {"OutIsAFile",
       [](const PieceFolder& p) {
         fs::remove_all(p.root() / "out");
         write_text(p.root() / "out", "mine");
       },
       "tea-bowl/out",
       "is a file"},
      {"OutIsALink",
       [](const PieceFolder& p) {
         fs::rename(p.root() / "out", p.parent() / "elsewhere");
         fs::create_directory_symlink(p.parent() / "elsewhere", p.root() / "out");
       },
       "tea-bowl/out",
       "is a link"},
  };
}

class BadInputTest : public testing::TestWithParam<BadInput> {};

INSTANTIATE_TEST_SUITE_P(Run, BadInputTest, testing::ValuesIn(bad_inputs()), [](const auto& bad) {
  return bad.param.name;
});

TEST_P(BadInputTest, GetsOneClearLineAndHarmsNothing) {
  const PieceFolder piece;
  const ProgramRun good = run_in(piece, {"run", "tea-bowl"});
  ASSERT_EQ(good.exit_code, 0) << good.err;
  GetParam().spoil(piece);
  const auto before = everything_in(piece.parent());

  const ProgramRun run = run_in(piece, {"run", "tea-bowl"});
  expect_one_clear_line(run, GetParam().file, GetParam().found);
  EXPECT_EQ(everything_in(piece.parent()), before);
}

TEST(GoodInput, MakesTheSameOutputTwice) {
  const PieceFolder piece;
  ASSERT_EQ(run_in(piece, {"run", "tea-bowl"}).exit_code, 0);
  const auto first = everything_in(piece.root());
  ASSERT_EQ(run_in(piece, {"run", "tea-bowl"}).exit_code, 0);
  EXPECT_EQ(everything_in(piece.root()), first);
}

TEST(GoodInput, TakesFoldersAndNamesWithSpacesUmlautsAndQuotes) {
  const PieceFolder piece;
  const std::string odd = "Krüge für \"Silke\" & 'Tam'";
  fs::rename(piece.root(), piece.parent() / odd);
  const fs::path toml = piece.parent() / odd / "piece.toml";
  std::string text = text_of(toml);
  for (std::size_t at; (at = text.find("\"hook\"")) != std::string::npos;) {
    text.replace(at, 6, "'Möwe \"groß\" 1'");
  }
  write_text(toml, text);
  const ProgramRun run = run_in(piece, {"run", odd});
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_TRUE(fs::exists(piece.parent() / odd / "out/motifs/Möwe \"groß\" 1.svg"));
  EXPECT_TRUE(fs::exists(piece.parent() / odd / "out/variants/Möwe \"groß\" 1-mirrored.svg"));
}

TEST(ClassRun, NamesWhoIsMissingLastAndMakesTheRest) {
  const PieceFolder piece;
  std::string text = text_of(piece.root() / "piece.toml");
  const std::size_t page = text.find("[[page]]");
  text.erase(page, text.find("[[face]]") - page);
  text.insert(text.find("[paper]"), "sketches = [\"hook\", \"ring\"]\n");
  write_text(piece.root() / "class.toml",
             text + "[[person]]\nname = \"Tove\"\n[[person]]\nname = \"Page\"\n");
  const ProgramRun both = run_in(piece, {"run", "tea-bowl"});
  EXPECT_EQ(both.exit_code, 1);
  EXPECT_NE(both.err.find("holds piece.toml and class.toml"), std::string::npos) << both.err;

  fs::remove(piece.root() / "piece.toml");
  const ProgramRun run = run_in(piece, {"run", "tea-bowl", "--json"});
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_EQ(run.out.rfind("{", 0), 0U);
  EXPECT_NE(run.out.find("\"problem\""), std::string::npos);
  EXPECT_TRUE(run.err.ends_with("1 of 2 persons not made, the others are\n")) << run.err;
  EXPECT_NE(run.err.find("Tove: "), std::string::npos) << run.err;
  EXPECT_TRUE(fs::exists(piece.root() / "out/sheets/02-Page.pdf"));
  EXPECT_TRUE(fs::exists(piece.root() / "out/printer.pdf"));
}

TEST(StageCommands, PublishTheirOwnResultAndNothingOlder) {
  const PieceFolder piece;
  ASSERT_EQ(run_in(piece, {"run", "tea-bowl"}).exit_code, 0);
  ASSERT_EQ(run_in(piece, {"trace", "tea-bowl"}).exit_code, 0);
  const auto all = everything_in(piece.root() / "out");
  EXPECT_EQ(all.size(), 3U);  // motifs/ and one SVG a sketch
  EXPECT_TRUE(all.contains("motifs/hook.svg"));
  EXPECT_TRUE(all.contains("motifs/ring.svg"));
}

TEST(UnwritableFolder, IsRefusedWithoutPermission) {
  const PieceFolder piece;
  ASSERT_EQ(run_in(piece, {"run", "tea-bowl"}).exit_code, 0);
  fs::permissions(piece.root(), fs::perms{0555});
  const auto before = everything_in(piece.parent());
  const ProgramRun run =
      run_underdraw({"run", "tea-bowl"}, {.folder = piece.parent(), .as_nobody = true});
  fs::permissions(piece.root(), fs::perms{0755});
  if (run.exit_code == kCannotStepDown) GTEST_SKIP() << "root cannot run it as another user here";
  expect_one_clear_line(run, "tea-bowl", "permission");
  EXPECT_EQ(everything_in(piece.parent()), before);
}

// A small disk with the piece folder on it, as long as it lives.
class SmallDisk {
 public:
  SmallDisk(const PieceFolder& piece, const std::string& options) : at_(piece.parent() / "disk") {
    fs::create_directory(at_);
    mounted_ = ::mount("none", at_.c_str(), "tmpfs", 0, options.c_str()) == 0;
    if (mounted_) fs::copy(piece.root(), at_ / "tea-bowl", fs::copy_options::recursive);
  }
  ~SmallDisk() {
    if (mounted_) ::umount2(at_.c_str(), MNT_DETACH);
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;

  bool mounted() const { return mounted_; }
  const fs::path& at() const { return at_; }
  bool make_read_only() const {
    return ::mount("none", at_.c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY, nullptr) == 0;
  }

 private:
  fs::path at_;
  bool mounted_ = false;
};

TEST(UnwritableFolder, IsRefusedOnAReadOnlyDisk) {
  const PieceFolder piece;
  ASSERT_EQ(run_in(piece, {"run", "tea-bowl"}).exit_code, 0);
  const SmallDisk disk(piece, "size=64m");
  if (!disk.mounted() || !disk.make_read_only()) {
    GTEST_SKIP() << "mounting a disk needs root with the right to";
  }
  const auto before = everything_in(disk.at());
  const ProgramRun run = run_underdraw({"run", "tea-bowl"}, {.folder = disk.at()});
  expect_one_clear_line(run, "tea-bowl", "read-only");
  EXPECT_EQ(everything_in(disk.at()), before);
}

TEST(UnwritableFolder, IsRefusedOnAFullDisk) {
  const PieceFolder piece;
  ASSERT_EQ(run_in(piece, {"run", "tea-bowl"}).exit_code, 0);
  std::uintmax_t needed = 0;
  for (const auto& [name, content] : everything_in(piece.root())) {
    needed += (content.size() + 4095) / 4096 * 4096 + 4096;
  }
  // Room for what is there and a little more, not for a second output.
  const SmallDisk disk(piece, "size=" + std::to_string(needed + 32768));
  if (!disk.mounted()) GTEST_SKIP() << "mounting a disk needs root with the right to";
  const auto before = everything_in(disk.at());
  const ProgramRun run = run_underdraw({"run", "tea-bowl"}, {.folder = disk.at()});
  expect_one_clear_line(run, "tea-bowl/out/", "the disk is full");
  EXPECT_EQ(everything_in(disk.at()), before);
}

}  // namespace
}  // namespace underdraw::test
