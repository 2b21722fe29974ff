#include "io/read_pages.h"

#include <filesystem>

#include <gtest/gtest.h>
#include <unistd.h>
#include <zlib.h>

#include "core/error.h"
#include "core/parallel.h"
#include "io/page_files.h"

namespace underdraw {
namespace {

using namespace testing_pages;
using testing::IsNotSubstring;
using testing::IsSubstring;

class ReadPages : public testing::Test {
 protected:
  std::string png(const std::string& name, const PngLook& look = {}) {
    const std::string path = folder_.file(name);
    write_png(path, grey_, look);
    return path;
  }
  std::string holding(const std::string& text) {
    const std::string path = folder_.file("page.png");
    write_bytes(path, Bytes(text.begin(), text.end()));
    return path;
  }
  // A PNG that ends after its header: nothing but the size can be read from it.
  std::string bare_header(std::uint32_t width, std::uint32_t height) {
    Bytes bytes{0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
    const auto put32 = [&bytes](std::uint32_t v) {
      for (int shift = 24; shift >= 0; shift -= 8) {
        bytes.push_back(static_cast<std::uint8_t>(v >> shift));
      }
    };
    const auto chunk = [&](const std::string& name, const Bytes& data) {
      put32(static_cast<std::uint32_t>(data.size()));
      const std::size_t start = bytes.size();
      bytes.insert(bytes.end(), name.begin(), name.end());
      bytes.insert(bytes.end(), data.begin(), data.end());
      put32(static_cast<std::uint32_t>(
          crc32(0, bytes.data() + start, static_cast<uInt>(bytes.size() - start))));
    };
    Bytes header;
    for (const std::uint32_t v : {width, height}) {
      for (int shift = 24; shift >= 0; shift -= 8) {
        header.push_back(static_cast<std::uint8_t>(v >> shift));
      }
    }
    header.insert(header.end(), {8, 0, 0, 0, 0});
    chunk("IHDR", header);
    chunk("pHYs", {0, 0, 0x2E, 0x23, 0, 0, 0x2E, 0x23, 1});
    chunk("IDAT", {0x78, 0x9C});
    const std::string path = folder_.file("huge.png");
    write_bytes(path, bytes);
    return path;
  }
  TempFolder folder_;
  cv::Mat grey_ = grey_sketch(40, 30);
};

TEST_F(ReadPages, KnowsAFileByItsContent) {
  const std::string path = png("page.tiff");
  const PageFile file = PageFile::open(path);
  EXPECT_EQ(file.kind(), "PNG");
  EXPECT_EQ(file.path(), path);
  EXPECT_EQ(largest_difference(file.read(1).grey, grey_), 0);
}

TEST_F(ReadPages, TakesNamesWithSpacesUmlautsAndQuotes) {
  const std::string name = "Größe \"zwei\" d'été %s.";
  EXPECT_EQ(refusal_of(png(name + "png")), "");
  write_bytes(folder_.file(name + "jpg"), jpeg_bytes(grey_));
  EXPECT_EQ(refusal_of(folder_.file(name + "jpg")), "");
  write_tiff(folder_.file(name + "tif"), {grey_});
  EXPECT_EQ(refusal_of(folder_.file(name + "tif")), "");
  write_pdf(folder_.file(name + "pdf"), {{.media_box = "[0 0 72 72]"}});
  EXPECT_EQ(refusal_of(folder_.file(name + "pdf")), "");
  if (write_heic(folder_.file(name + "heic"), colour_sketch(64, 64), exif_block(1, 300.0))) {
    EXPECT_EQ(refusal_of(folder_.file(name + "heic")), "");
  }
}

TEST_F(ReadPages, SaysWhatAFileIsInstead) {
  EXPECT_PRED_FORMAT2(IsSubstring, "is a ZIP archive", refusal_of(holding("PK\3\4 and more")));
  EXPECT_PRED_FORMAT2(IsSubstring, "is text", refusal_of(holding("Dear potter,\nsee the page.\n")));
  EXPECT_PRED_FORMAT2(IsSubstring, "is an SVG drawing", refusal_of(holding("<svg xmlns=''/>")));
  EXPECT_PRED_FORMAT2(IsSubstring, "is a GIF image", refusal_of(holding("GIF89a")));
  EXPECT_PRED_FORMAT2(IsSubstring,
                      "is a video",
                      refusal_of(holding(std::string("\0\0\0\x20"
                                                     "ftypisom....",
                                                     16))));
  EXPECT_PRED_FORMAT2(
      IsSubstring, "is of an unknown kind", refusal_of(holding(std::string("\1\2\0\3", 4))));
  EXPECT_PRED_FORMAT2(
      IsSubstring, "(expected a PNG, JPEG, TIFF, PDF or HEIC", refusal_of(holding("\x89")));
}

TEST_F(ReadPages, SaysWhyAFileCannotBeRead) {
  EXPECT_PRED_FORMAT2(IsSubstring, "page.png: is empty (0 bytes)", refusal_of(holding("")));
  EXPECT_PRED_FORMAT2(
      IsSubstring, "none.png: does not exist", refusal_of(folder_.file("none.png")));
  EXPECT_PRED_FORMAT2(IsSubstring, "is a folder", refusal_of(folder_.file("")));
  EXPECT_PRED_FORMAT2(IsSubstring, "is a device", refusal_of("/dev/null"));
  EXPECT_PRED_FORMAT2(IsSubstring, "does not exist", refusal_of(png("a.png") + "/b.png"));
}

TEST_F(ReadPages, SaysWhenItMayNotReadAFile) {
  const std::string path = png("locked.png");
  std::filesystem::permissions(path, std::filesystem::perms::none);
  const bool root = ::geteuid() == 0;  // may read everything, so be somebody else meanwhile
  ASSERT_EQ(root ? ::seteuid(65534) : 0, 0);
  const std::string said = refusal_of(path);
  ASSERT_EQ(root ? ::seteuid(0) : 0, 0);
  EXPECT_PRED_FORMAT2(IsSubstring, "cannot be opened: Permission denied", said);
}

TEST_F(ReadPages, RefusesAbsurdResolutions) {
  EXPECT_PRED_FORMAT2(IsSubstring,
                      "says 0.9906 dpi (expected 50 to 2400 dpi); pass --dpi 300 or scan again",
                      refusal_of(png("1.png", {.px_per_metre = 39})));
  EXPECT_PRED_FORMAT2(IsSubstring, "says 0 dpi", refusal_of(png("0.png", {.px_per_metre = 0})));
  EXPECT_PRED_FORMAT2(
      IsSubstring, "says 2.54e+04", refusal_of(png("9.png", {.px_per_metre = 1'000'000})));
  EXPECT_PRED_FORMAT2(IsSubstring,
                      "states no resolution; pass --dpi 300 or scan again with",
                      refusal_of(png("n.png", {.px_per_metre = {}})));
  for (const std::string name : {"1.png", "0.png", "9.png", "n.png"}) {
    const Page page = PageFile::open(folder_.file(name), {.dpi = 254.0}).read(1);
    EXPECT_DOUBLE_EQ(page.px_per_mm_x, 10.0);
  }
}

TEST_F(ReadPages, ChecksTheGivenDpi) {
  const std::string path = png("a.png");
  for (const double dpi : {0.0, 49.0, 2401.0, -300.0, std::nan("")}) {
    EXPECT_THROW(PageFile::open(path, {.dpi = dpi}), OptionError) << dpi;
  }
}

TEST_F(ReadPages, RefusesPhotosThatWouldBeMetresLarge) {
  const std::string path = bare_header(4032, 3024);  // 300 dpi: 341 mm
  EXPECT_NEAR(PageFile::open(path).size(1).width_mm(), 341.4, 0.1);
  EXPECT_PRED_FORMAT2(
      IsSubstring, "would be 1422 x 1067 mm at 72 dpi", refusal_of(path, {.dpi = 72.0}));
  EXPECT_PRED_FORMAT2(IsSubstring, "at most 1300 mm", refusal_of(path, {.dpi = 72.0}));
}

TEST_F(ReadPages, RefusesHugePagesFromTheHeaderAlone) {
  // These files hold no pixels, so any other complaint would mean that they were looked for.
  EXPECT_PRED_FORMAT2(IsSubstring,
                      "has 60000 x 60000 pixels (expected sides below 60000 pixels and at most "
                      "400 megapixels)",
                      refusal_of(bare_header(60'000, 60'000)));
  EXPECT_PRED_FORMAT2(IsSubstring, "has 60000 x 1 pixels", refusal_of(bare_header(60'000, 1)));
  EXPECT_PRED_FORMAT2(
      IsSubstring, "at most 400 megapixels", refusal_of(bare_header(20'001, 20'000)));
  EXPECT_PRED_FORMAT2(IsSubstring, "is damaged or cut short", refusal_of(bare_header(100, 100)));
  EXPECT_PRED_FORMAT2(IsSubstring, "is damaged or cut short", refusal_of(bare_header(0, 100)));
}

TEST_F(ReadPages, GivesTheSizeThatReadingGives) {
  write_bytes(folder_.file("a.jpg"), jpeg_bytes(grey_, {.exif = exif_block(8, 0.0)}));
  const PageFile file = PageFile::open(folder_.file("a.jpg"));
  const PageSize size = file.size(1);
  const Page page = file.read(1);
  EXPECT_EQ(size.width_px, 30);
  EXPECT_EQ(page.grey.cols, 30);
  EXPECT_EQ(page.grey.rows, size.height_px);
  EXPECT_DOUBLE_EQ(page.width_mm(), size.width_mm());
}

TEST_F(ReadPages, SpeaksOneLine) {
  const std::string said = refusal_of(folder_.file("two\nlines.png"));
  EXPECT_PRED_FORMAT2(IsSubstring, "does not exist", said);
  EXPECT_PRED_FORMAT2(IsNotSubstring, "\n", said);
}

TEST_F(ReadPages, ReadsPagesFromSeveralThreads) {
  std::vector<cv::Mat> pages;
  for (int i = 0; i < 12; ++i) pages.push_back(grey_sketch(60 + i, 50));
  write_tiff(folder_.file("a.tif"), pages);
  std::vector<PdfPage> sheets;
  for (const cv::Mat& page : pages) {
    sheets.push_back({.media_box = "[0 0 36 30]",
                      .contents = "q 36 0 0 30 0 0 cm /Scan Do Q",
                      .image = pdf_flate(page)});
  }
  write_pdf(folder_.file("a.pdf"), sheets);
  for (const char* name : {"a.tif", "a.pdf"}) {
    const PageFile file = PageFile::open(folder_.file(name));
    std::vector<int> differences(pages.size(), 1000);
    parallel_for(
        pages.size(),
        [&](std::size_t i) {
          differences[i] = largest_difference(file.read(static_cast<int>(i) + 1).grey, pages[i]);
        },
        4);
    EXPECT_EQ(differences, std::vector<int>(pages.size(), 0)) << name;
  }
}

}  // namespace
}  // namespace underdraw
