// Photos that cannot be kept, records that cannot be read, and recovery without what it needs.
#include <filesystem>

#include <sys/stat.h>

#include "cli/bad_inputs/bombs.h"
#include "cli/bad_inputs/harbour.h"
#include "io/page_files.h"

namespace fs = std::filesystem;

namespace underdraw::test {
namespace {

const std::string kRecord = "tea-bowl/record.db";

Spoil record(const std::string& text) {
  return [text](const Harbour& desk) { desk.write(kRecord, text); };
}

Spoil photo(std::function<void(const std::string&)> make) {
  return [make](const Harbour& desk) { make((desk / "IMG_2.jpg").string()); };
}

Spoil photos_folder(std::function<void(const fs::path&)> make) {
  return [make](const Harbour& desk) {
    fs::rename(desk / "tea-bowl/photos", desk / "elsewhere");
    make(desk / "tea-bowl/photos");
  };
}

// What SQLite's header says about its content (sqlite.org, file format, 1.3).
void set_in_header(const Harbour& desk, std::size_t at, unsigned char value) {
  auto bytes = testing_pages::bytes_of((desk / kRecord).string());
  bytes.at(at) = value;
  testing_pages::write_bytes((desk / kRecord).string(), bytes);
}

}  // namespace

std::vector<BadInput> bad_photos() {
  const std::vector<std::string> keep = {"keep", "tea-bowl", "IMG_2.jpg", "--stage", "bisque"};
  const std::vector<std::string> list = {"keep", "tea-bowl", "--list"};
  const std::vector<std::string> recover = {"recover", "tea-bowl", "--before", "bisque"};
  const auto photo_named = [](const std::string& file) {
    return std::vector<std::string>{"keep", "tea-bowl", file, "--stage", "bisque"};
  };
  return {
      {"photo that is not there", photo_named("nowhere.jpg"), 1, {"nowhere.jpg", "does not exist"}},
      {"one missing among good photos",
       {"keep", "tea-bowl", "IMG_2.jpg", "nowhere.jpg", "--stage", "bisque"},
       1,
       {"nowhere.jpg"}},
      {"photo that is a text",
       photo_named("notes.txt"),
       1,
       {"notes.txt", "JPEG, PNG or HEIC photo"}},
      {"photo that is a PDF",
       photo_named("sheets.pdf"),
       1,
       {"sheets.pdf", "JPEG, PNG or HEIC photo"}},
      {"photo that is a folder", photo_named("class"), 1, {"class", "is a folder"}},
      {"photo that is a device", photo_named("/dev/zero"), 1, {"/dev/zero", "is a device"}},
      {"photo that is a pipe",
       keep,
       1,
       {"IMG_2.jpg", "is a device"},
       photo([](const std::string& path) {
         fs::remove(path);
         ::mkfifo(path.c_str(), 0600);
       })},
      {"photo of no bytes", keep, 1, {"IMG_2.jpg", "is empty"}, photo([](const std::string& path) {
         fs::resize_file(path, 0);
       })},
      {"photo cut short", keep, 1, {"IMG_2.jpg", "camera"}, photo([](const std::string& path) {
         fs::resize_file(path, fs::file_size(path) * 3 / 4);
       })},
      {"photo of 65,000 x 65,000 px in 1 KB",
       keep,
       1,
       {"IMG_2.jpg", "65000 x 65000"},
       photo(write_jpeg_bomb)},
      {"PNG photo of 60,000 x 60,000 px in 2 KB",
       keep,
       1,
       {"IMG_2.jpg", "60000 x 60000"},
       photo(write_png_bomb)},
      {"HEIC photo of 65,000 x 65,000 px in 3 KB",
       keep,
       1,
       {"IMG_2.jpg", "larger than can be read"},
       photo(write_heic_bomb)},
      {"photo of 300 MB of nothing", keep, 1, {"IMG_2.jpg"}, photo([](const std::string& path) {
         fs::resize_file(path, 300'000'000);
       })},
      {"face that is not there",
       {"keep", "tea-bowl", "IMG_2.jpg", "--stage", "bisque", "--face", "rim"},
       1,
       {"has no face rim", "wall"}},
      {"note of two lines",
       {"keep", "tea-bowl", "IMG_2.jpg", "--stage", "bisque", "--note", "blue\non"},
       1,
       {"note"}},
      {"note of 501 bytes",
       {"keep", "tea-bowl", "IMG_2.jpg", "--stage", "bisque", "--note", std::string(501, 'n')},
       1,
       {"note"}},
      {"keep in no piece folder",
       {"keep", "class", "IMG_2.jpg", "--stage", "bisque"},
       1,
       {"class", "holds no piece.toml"}},
      {"keep nowhere",
       {"keep", "nowhere", "IMG_2.jpg", "--stage", "bisque"},
       1,
       {"nowhere", "a piece folder"}},
      {"show what was never kept", {"keep", "tea-bowl", "--show", "tern.jpg"}, 1, {"tern.jpg"}},
      {"export into a file", {"keep", "tea-bowl", "--export", "notes.txt"}, 1, {"notes.txt"}},
      {"export into photos/",
       {"keep", "tea-bowl", "--export", "tea-bowl/photos"},
       1,
       {"tea-bowl/photos"}},
      {"check of a stage that has no photos",
       {"keep", "tea-bowl", "--check"},
       1,
       {"no photos of stage drawn", "--stage drawn"}},
      {"record that is a text",
       list,
       1,
       {kRecord, "they are untouched"},
       record("kelp, thistle and rope; a list of glazes and nothing else\n")},
      {"record of zeros",
       keep,
       1,
       {kRecord, "they are untouched"},
       record(std::string(8192, '\0'))},
      {"record cut short",
       list,
       1,
       {kRecord},
       [](const Harbour& desk) { fs::resize_file(desk / kRecord, 5000); }},
      {"record that is a folder",
       keep,
       1,
       {kRecord},
       [](const Harbour& desk) {
         fs::remove(desk / kRecord);
         fs::create_directory(desk / kRecord);
       }},
      {"record of tomorrow",
       list,
       1,
       {kRecord, "newer"},
       [](const Harbour& desk) { set_in_header(desk, 63, 99); }},
      {"another program's record",
       list,
       1,
       {kRecord},
       [](const Harbour& desk) { set_in_header(desk, 68, 9); }},
      {"photos/ that is a file",
       keep,
       1,
       {"tea-bowl/photos", "is a file"},
       photos_folder(
           [](const fs::path& path) { testing_pages::write_bytes(path.string(), {'x'}); })},
      {"photos/ that is a link",
       keep,
       1,
       {"tea-bowl/photos", "is a link"},
       photos_folder(
           [](const fs::path& path) { fs::create_directory_symlink("../elsewhere", path); })},
      {"recover nowhere", {"recover", "nowhere"}, 1, {"nowhere", "a piece folder"}},
      {"recover in no piece folder", {"recover", "class"}, 1, {"class/piece.toml"}},
      {"recover without photos of that stage", {"recover", "tea-bowl"}, 1, {"drawn", "keep"}},
      {"recover after a stage without photos",
       {"recover", "tea-bowl", "--before", "bisque", "--after", "fired"},
       1,
       {"fired"}},
      {"recover from a damaged record",
       recover,
       1,
       {kRecord},
       record("kelp, thistle and rope; a list of glazes and nothing else\n")},
      {"recover with broken points",
       recover,
       1,
       {"points.toml:1"},
       [](const Harbour& desk) { desk.write("tea-bowl/points.toml", "[[pair]\n"); }},
      {"recover with three points",
       recover,
       1,
       {"points.toml:"},
       [](const Harbour& desk) {
         desk.write("tea-bowl/points.toml",
                    "[[pair]]\nbefore = \"a.jpg\"\nafter = \"b.jpg\"\npoints = [[1, 2, 3, 4], [5, "
                    "6, 7, 8], [9, 10, 11, 12]]\n");
       }},
  };
}

}  // namespace underdraw::test
