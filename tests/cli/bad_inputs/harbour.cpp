#include "cli/bad_inputs/harbour.h"

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "io/page_files.h"
#include "io/photo_files.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

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

constexpr const char* kClassToml = R"(schema = 1
name = "Harbour class"
sketches = ["hook", "ring"]

[[face]]
name = "tile"
form = "flat"
width = 90
height = 90

[[arrange]]
face = "tile"
style = "centre"
motifs = ["hook"]
height = 40

[[person]]
name = "Tove"
file = "../page.png"
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

void must(const ProgramRun& run) {
  if (run.exit_code != 0) throw std::runtime_error("the good run failed: " + run.err);
}

}  // namespace

Harbour::Harbour() {
  fs::permissions(own_.path(), fs::perms{0755});
  fs::create_directories(desk_ / "tea-bowl/pages");
  fs::create_directories(desk_ / "class/pages");
  ::setenv("XDG_CONFIG_HOME", (desk_ / "settings").c_str(), 1);
  write("tea-bowl/piece.toml", kPieceToml);
  write("class/class.toml", kClassToml);
  write("notes.txt", "Kelp, thistle and rope.\n");
  testing_pages::write_png(page().string(), two_sketches());
  fs::copy_file(page(), desk_ / "page.png");
  for (int i = 1; i <= 3; ++i) {
    testing_pages::write_bytes((desk_ / ("IMG_" + std::to_string(i) + ".jpg")).string(),
                               testing_pages::small_jpeg(i));
  }
  must(run({"run", "tea-bowl"}));
  must(run({"keep", "tea-bowl", "IMG_1.jpg", "--stage", "bisque"}));
  must(run({"keep", "tea-bowl", "IMG_3.jpg", "--stage", "covered"}));
  must(run({"printer", "studio-laser", "--across", "180.4", "--down", "219.6"}));
  for (const char* name : {"hook.svg", "ring.svg"}) {
    fs::copy_file(desk_ / "tea-bowl/out/motifs" / name, desk_ / name);
  }
  fs::copy_file(desk_ / "tea-bowl/out/sheets.pdf", desk_ / "sheets.pdf");
  fs::copy(desk_, whole_, fs::copy_options::recursive);
}

void Harbour::replace(const std::string& file,
                      const std::string& from,
                      const std::string& to) const {
  std::string text = text_of(desk_ / file);
  const std::size_t at = text.find(from);
  if (at == std::string::npos) throw std::runtime_error(file + " does not say " + from);
  write(file, text.replace(at, from.size(), to));
}

void Harbour::write(const std::string& file, const std::string& text) const {
  fs::create_directories((desk_ / file).parent_path());
  std::ofstream(desk_ / file, std::ios::binary) << text;
}

Contents Harbour::contents() const {
  Contents all;
  for (const auto& entry : fs::recursive_directory_iterator(desk_)) {
    const std::string name = entry.path().lexically_relative(desk_).string();
    const fs::file_status status = entry.symlink_status();
    if (fs::is_symlink(status)) {
      all[name] = "-> " + fs::read_symlink(entry.path()).string();
    } else if (fs::is_regular_file(status)) {
      all[name] = text_of(entry.path());
    } else {
      all[name] = fs::is_directory(status) ? "(folder)" : "(other)";
    }
  }
  return all;
}

void Harbour::restore() const {
  fs::remove_all(desk_);
  fs::copy(whole_, desk_, fs::copy_options::recursive);
}

ProgramRun Harbour::run(const std::vector<std::string>& words, ProgramOptions options) const {
  if (options.folder.empty()) options.folder = desk_;
  return run_underdraw(words, options);
}

Spoil in_toml(const std::string& from, const std::string& to) {
  return [from, to](const Harbour& desk) { desk.replace("tea-bowl/piece.toml", from, to); };
}

std::string broken_promises(const BadInput& bad, const ProgramRun& run) {
  std::string wrong;
  const auto require = [&](bool holds, const std::string& what) {
    if (!holds) wrong += "  " + what + "\n";
  };
  require(run.exit_code == bad.exit_code, fmt::format("exit code {}", run.exit_code));
  require(run.out.empty(), "prints on stdout: " + run.out);
  require(run.err.starts_with("underdraw: "), "does not begin with underdraw:");
  require(std::count(run.err.begin(), run.err.end(), '\n') == 1 && run.err.ends_with('\n'),
          "is not one line");
  require(std::count_if(run.err.begin(),
                        run.err.end(),
                        [](char c) { return static_cast<unsigned char>(c) < 0x20; }) == 1,
          "has control characters");
  require(run.err.size() < 3000, "is longer than anybody reads");
  for (const std::string& word : bad.says) {
    require(run.err.find(word) != std::string::npos, "does not say: " + word);
  }
  // A remedy follows a semicolon, see core/error.h.
  const std::size_t remedy = run.err.rfind("; ");
  require(remedy != std::string::npos && run.err.size() - remedy > 8, "has no remedy");
  require(!bad.says.empty(), "(the row expects no words)");
  return wrong;
}

std::string changes(const Contents& before, const Contents& after) {
  std::string wrong;
  for (const auto& [name, content] : before) {
    const auto now = after.find(name);
    if (now == after.end()) wrong += "  lost " + name + "\n";
    if (now != after.end() && now->second != content) wrong += "  changed " + name + "\n";
  }
  for (const auto& [name, content] : after) {
    if (!before.contains(name)) wrong += "  left " + name + "\n";
  }
  return wrong;
}

}  // namespace underdraw::test
