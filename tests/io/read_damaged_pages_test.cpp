// Files cut short are always refused, and broken bytes never do worse than a refusal.
#include <algorithm>
#include <map>
#include <random>

#include <gtest/gtest.h>
#include <tiffio.h>

#include "core/error.h"
#include "io/page_files.h"
#include "io/read_pages.h"

namespace underdraw {
namespace {

using namespace testing_pages;

// A TIFF with its directory before its pixels, as no library here writes it: cut short, it still
// opens.
Bytes directory_first_tiff() {
  constexpr std::uint32_t kSide = 40;
  Bytes out{'I', 'I', 42, 0, 8, 0, 0, 0};
  const auto put = [&out](std::uint32_t value, int bytes) {
    for (int i = 0; i < bytes; ++i) out.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
  };
  const std::vector<std::array<std::uint32_t, 3>> entries{{256, 4, kSide},
                                                          {257, 4, kSide},
                                                          {258, 3, 8},
                                                          {259, 3, 1},
                                                          {262, 3, 1},
                                                          {273, 4, 122},
                                                          {277, 3, 1},
                                                          {278, 4, kSide},
                                                          {279, 4, kSide * kSide}};
  put(static_cast<std::uint32_t>(entries.size()), 2);
  for (const auto& [tag, type, value] : entries) {
    put(tag, 2);
    put(type, 2);
    put(1, 4);
    put(value, 4);
  }
  put(0, 4);
  out.resize(122, 0);
  const cv::Mat page = grey_sketch(kSide, kSide);
  out.insert(out.end(), page.data, page.data + page.total());
  return out;
}

// One whole file of each kind, by name; HEIC only where it can be made.
std::map<std::string, Bytes> whole_files() {
  const TempFolder folder;
  const cv::Mat grey = grey_sketch(48, 40);
  const cv::Mat colour = colour_sketch(48, 40);
  std::map<std::string, Bytes> files;
  const auto keep = [&](const std::string& name) { files[name] = bytes_of(folder.file(name)); };
  write_png(folder.file("grey.png"), grey);
  keep("grey.png");
  write_png(folder.file("interlaced.png"), colour, {.interlaced = true});
  keep("interlaced.png");
  files["baseline.jpg"] = jpeg_bytes(colour, {.exif = exif_block(6, 300.0)});
  files["progressive.jpg"] = jpeg_bytes(colour, {.progressive = true});
  write_tiff(folder.file("lzw.tif"), {colour, colour}, {.photometric = PHOTOMETRIC_RGB});
  keep("lzw.tif");
  write_tiff(folder.file("fax.tif"),
             {grey},
             {.photometric = PHOTOMETRIC_MINISWHITE,
              .bits = 1,
              .compression = COMPRESSION_CCITTFAX4,
              .rows_per_strip = 40});
  keep("fax.tif");
  write_tiff(folder.file("tiled.tif"), {colour}, {.photometric = PHOTOMETRIC_RGB, .tiled = true});
  keep("tiled.tif");
  files["directory-first.tif"] = directory_first_tiff();
  const std::string contents = "q 48 0 0 40 0 0 cm /Scan Do Q";
  write_pdf(folder.file("jpeg.pdf"),
            {{.media_box = "[0 0 48 40]", .contents = contents, .image = pdf_jpeg(grey)}});
  keep("jpeg.pdf");
  write_pdf(folder.file("flate.pdf"),
            {{.media_box = "[0 0 48 40]", .contents = contents, .image = pdf_flate(grey)}});
  keep("flate.pdf");
  write_pdf(folder.file("lines.pdf"),
            {{.media_box = "[0 0 48 40]", .contents = "1 w 5 5 m 40 30 l S"}});
  keep("lines.pdf");
  if (write_heic(folder.file("page.heic"), colour, exif_block(1, 300.0))) keep("page.heic");
  return files;
}

constexpr double kDpi = 100.0;  // so that resolution is not what is refused

// What all pages of the file say; "" when all were read. Anything but InputError fails the test.
std::string read_all(const std::string& path) {
  try {
    const PageFile file = PageFile::open(path, {.dpi = kDpi});
    for (int number = 1; number <= file.page_count(); ++number) file.read(number);
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

TEST(ReadDamagedPages, ReadsThemWhole) {
  const TempFolder folder;
  for (const auto& [name, bytes] : whole_files()) {
    write_bytes(folder.file(name), bytes);
    EXPECT_EQ(read_all(folder.file(name)), "") << name;
  }
}

TEST(ReadDamagedPages, RefusesThemCutShortAnywhere) {
  const TempFolder folder;
  for (const auto& [name, bytes] : whole_files()) {
    const std::size_t size = bytes.size();
    std::vector<std::size_t> lengths{0, 1, 3, 4, 8, 12, 20, 33, 64, 100};
    for (std::size_t i = 1; i < 20; ++i) lengths.push_back(size * i / 20);
    // A PDF is whole once its last line begins; all others need their last byte.
    const std::size_t spare = name.ends_with(".pdf") ? 12 : 1;
    lengths.push_back(size - spare);
    lengths.push_back(size - spare - 1);
    for (const std::size_t length : lengths) {
      if (length >= size) continue;
      write_bytes(folder.file(name),
                  Bytes(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(length)));
      EXPECT_NE(read_all(folder.file(name)), "") << name << " cut to " << length << " of " << size;
    }
  }
}

TEST(ReadDamagedPages, SurvivesBrokenBytes) {
  const TempFolder folder;
  std::mt19937 random(20240607);
  for (const auto& [name, bytes] : whole_files()) {
    int refused = 0;
    for (int round = 0; round < 40; ++round) {
      Bytes broken = bytes;
      for (int hit = 0; hit < 1 + round % 8; ++hit) {
        broken[random() % broken.size()] = static_cast<std::uint8_t>(random());
      }
      write_bytes(folder.file(name), broken);
      refused += read_all(folder.file(name)).empty() ? 0 : 1;
    }
    RecordProperty(name, refused);
  }
}

}  // namespace
}  // namespace underdraw
