// Pages that cannot be read, and outputs of a trace that would harm something.
#include <filesystem>

#include <opencv2/core.hpp>
#include <sys/stat.h>

#include "cli/bad_inputs/bombs.h"
#include "cli/bad_inputs/harbour.h"
#include "io/page_files.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

using namespace testing_pages;

const std::string kPage = "tea-bowl/pages/page.png";

Spoil shade(int grey) {
  return [grey](const Harbour& desk) {
    write_png(desk.page().string(), cv::Mat(300, 500, CV_8UC1, cv::Scalar(grey)));
  };
}

Spoil dots_per_metre(std::optional<int> value) {
  return [value](const Harbour& desk) {
    write_png(desk.page().string(), grey_sketch(400, 300), {.px_per_metre = value});
  };
}

Spoil page_of(std::function<void(const std::string&)> make) {
  return [make](const Harbour& desk) { make(desk.page().string()); };
}

void cut_to(const fs::path& file, double share) {
  fs::resize_file(file,
                  static_cast<std::uintmax_t>(share * static_cast<double>(fs::file_size(file))));
}

}  // namespace

std::vector<BadInput> bad_pages() {
  const std::vector<std::string> run = {"run", "tea-bowl"};
  const std::vector<std::string> trace = {"trace", "page.png", "-o", "traced"};
  const auto bare = [](const std::string& file) {
    return std::vector<std::string>{"trace", file, "-o", "traced"};
  };
  const auto with = [](std::vector<std::string> words, std::vector<std::string> more) {
    words.insert(words.end(), more.begin(), more.end());
    return words;
  };
  return {
      {"page that is not there",
       run,
       1,
       {kPage, "does not exist"},
       [](const Harbour& desk) { fs::remove(desk.page()); }},
      {"page of no bytes",
       run,
       1,
       {kPage, "is empty (0 bytes)"},
       [](const Harbour& desk) { cut_to(desk.page(), 0); }},
      {"page cut short",
       run,
       1,
       {kPage, "cut short"},
       [](const Harbour& desk) { cut_to(desk.page(), 0.6); }},
      {"page cut short in its header",
       run,
       1,
       {kPage},
       [](const Harbour& desk) { fs::resize_file(desk.page(), 20); }},
      {"text named .png",
       run,
       1,
       {kPage, "is text"},
       [](const Harbour& desk) { desk.write(kPage, "kelp\n"); }},
      {"drawing named .png",
       run,
       1,
       {kPage, "is an SVG drawing"},
       [](const Harbour& desk) {
         fs::copy_file(desk / "hook.svg", desk.page(), fs::copy_options::overwrite_existing);
       }},
      {"folder named .png",
       run,
       1,
       {kPage, "is a folder"},
       [](const Harbour& desk) {
         fs::remove(desk.page());
         fs::create_directory(desk.page());
       }},
      {"pipe named .png",
       run,
       1,
       {kPage, "is a device, not a file"},
       [](const Harbour& desk) {
         fs::remove(desk.page());
         ::mkfifo(desk.page().c_str(), 0600);
       }},
      {"link to nowhere",
       run,
       1,
       {kPage, "does not exist"},
       [](const Harbour& desk) {
         fs::remove(desk.page());
         fs::create_symlink("nowhere.png", desk.page());
       }},
      {"link to itself",
       run,
       1,
       {kPage},
       [](const Harbour& desk) {
         fs::remove(desk.page());
         fs::create_symlink("page.png", desk.page());
       }},
      {"endless page",
       run,
       1,
       {"/dev/zero", "is a device"},
       in_toml("pages/page.png", "/dev/zero")},
      {"blank page", run, 1, {kPage}, shade(245)},
      {"black page", run, 1, {kPage}, shade(8)},
      {"page without a resolution", run, 1, {kPage, "--dpi"}, dots_per_metre({})},
      {"page of 1 dpi", run, 1, {kPage, "50 to 2400 dpi"}, dots_per_metre(39)},
      {"page of 10,000 dpi", run, 1, {kPage, "50 to 2400 dpi"}, dots_per_metre(400000)},
      {"page as large as a door", run, 1, {kPage, "mm"}, page_of([](const std::string& path) {
         write_png(path, grey_sketch(4000, 300), {.px_per_metre = 2500});
       })},
      {"PNG of 60,000 x 60,000 px in 2 KB",
       run,
       1,
       {kPage, "60000 x 60000"},
       page_of(write_png_bomb)},
      {"TIFF of 100,000 directories", run, 1, {kPage, "1000"}, page_of(write_tiff_bomb)},
      {"TIFF whose directories go in a circle", run, 1, {kPage}, page_of(write_tiff_circle)},
      {"PDF of 100,000 pages", run, 1, {kPage, "1000"}, page_of(write_pdf_bomb)},
      {"PDF whose branches have the same branches",
       run,
       1,
       {kPage, "damaged"},
       page_of(write_pdf_tree)},
      {"PDF of 2 KB that unpacks to 300 MB",
       run,
       1,
       {kPage, "unpacks to more than 200 MB"},
       page_of(write_pdf_zeros)},
      {"PDF that nests a million deep",
       run,
       1,
       {kPage, "nests its drawing"},
       page_of(write_pdf_depth)},
      {"PDF that needs a password",
       run,
       1,
       {kPage, "password"},
       page_of([](const std::string& path) {
         write_pdf(path, {PdfPage{}}, {.user_password = "kiln", .owner_password = "kiln"});
       })},
      {"JPEG of 65,000 x 65,000 px in 1 KB",
       run,
       1,
       {kPage, "65000 x 65000"},
       page_of(write_jpeg_bomb)},
      {"HEIC of 65,000 x 65,000 px in 3 KB",
       run,
       1,
       {kPage, "larger than can be read"},
       page_of(write_heic_bomb)},
      {"page out of range", run, 1, {kPage, "7"}, in_toml("names =", "page = 7\nnames =")},
      {"more names than sketches",
       run,
       1,
       {"2 sketches found"},
       in_toml("\"ring\"]\n\n", "\"ring\", \"rope\"]\n\n")},
      {"fewer names than sketches",
       {"trace", "tea-bowl"},
       1,
       {"2 sketches found"},
       [](const Harbour& desk) {
         desk.replace("tea-bowl/piece.toml", "names = [\"hook\", \"ring\"]", "names = [\"hook\"]");
         desk.replace(
             "tea-bowl/piece.toml", "motifs = [\"hook\", \"ring\"]", "motifs = [\"hook\"]");
       }},
      {"bare page that is not there", bare("nowhere.png"), 1, {"nowhere.png", "does not exist"}},
      {"bare page that is a text", bare("notes.txt"), 1, {"notes.txt", "is text"}},
      {"bare page with an empty name", {"trace", "", "-o", "traced"}, 2, {"is empty"}},
      {"bare page with a name of 5000 letters", bare(std::string(5000, 'k')), 1, {"kkk", "name"}},
      {"bare page with a new line in its name",
       bare("ke\nlp.png"),
       1,
       {"ke lp.png", "does not exist"}},
      {"page seven of one", with(trace, {"--page", "7"}), 1, {"page.png", "7"}},
      {"names for others",
       with(trace, {"--names", "a,b,c"}),
       1,
       {"page.png", "2 sketches found", "correct --names"}},
      {"name as a way up", with(trace, {"--names", "../a,b"}), 1, {"../a"}},
      {"name twice", with(trace, {"--names", "a,a"}), 1, {"two sketches are named a"}},
      {"name of 300 letters", with(trace, {"--names", std::string(300, 'n') + ",b"}), 1, {"nnn"}},
      {"the same page twice", {"trace", "page.png", "page.png", "-o", "traced"}, 1, {"page-1.svg"}},
      {"out that is a file", {"trace", "page.png", "-o", "notes.txt"}, 1, {"notes.txt"}},
      {"out below a file", {"trace", "page.png", "-o", "notes.txt/traced"}, 1, {"notes.txt"}},
      {"whole page over a file",
       {"trace", "page.png", "--whole", "-o", "notes.txt"},
       1,
       {"notes.txt", "exists already", "--overwrite"}},
      {"whole page over a folder",
       {"trace", "page.png", "--whole", "-o", "class", "--overwrite"},
       1,
       {"class", "is a folder"}},
      {"picture over the page",
       {"trace", "page.png", "--show", "page.png", "--overwrite"},
       1,
       {"page.png", "is the page itself"}},
      {"trace over earlier motifs",
       {"trace", "page.png", "-o", ".", "--names", "hook,ring"},
       1,
       {"hook.svg", "exists already", "--overwrite"}},
  };
}

}  // namespace underdraw::test
