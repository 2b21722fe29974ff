// The colours that a page keeps beside its grey, whatever file it comes from.
#include <functional>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "page_files.h"

namespace underdraw {
namespace {

using namespace testing_pages;

// 300 dpi, so that two px each way become one; odd sides, so that the last one is a part.
const cv::Mat kColours = colour_sketch(241, 187);

cv::Mat means_of_squares(const cv::Mat& rgb, int side) {
  cv::Mat padded;
  cv::copyMakeBorder(rgb,
                     padded,
                     0,
                     (side - rgb.rows % side) % side,
                     0,
                     (side - rgb.cols % side) % side,
                     cv::BORDER_REPLICATE);
  cv::Mat means;
  cv::resize(padded, means, padded.size() / side, 0, 0, cv::INTER_AREA);
  return means;
}

// Mean distance of the colours, which lossy formats change.
double mean_difference(const cv::Mat& a, const cv::Mat& b) {
  EXPECT_EQ(a.size(), b.size());
  EXPECT_EQ(a.type(), b.type());
  if (a.size() != b.size() || a.type() != b.type()) return 1e9;
  return cv::norm(a, b, cv::NORM_L1) / static_cast<double>(a.total() * 3);
}

struct Written {
  const char* name;
  std::function<void(const std::string&)> write;
  double most;  // mean difference
};

TEST(Tint, IsTheMeanColourOfSquaresInEveryFormat) {
  const TempFolder folder;
  cv::Mat clear;
  cv::cvtColor(kColours, clear, cv::COLOR_RGB2RGBA);
  const std::vector<Written> forms = {
      {"png", [](const std::string& p) { write_png(p, kColours); }, 0.6},
      {"interlaced",
       [](const std::string& p) { write_png(p, kColours, {.interlaced = true}); },
       0.6},
      {"alpha", [&](const std::string& p) { write_png(p, clear); }, 0.6},
      {"jpeg", [](const std::string& p) { write_bytes(p, jpeg_bytes(kColours)); }, 4.0},
      {"tiff", [](const std::string& p) { write_tiff(p, {kColours}, {.photometric = 2}); }, 0.6},
      {"tiled",
       [](const std::string& p) { write_tiff(p, {kColours}, {.photometric = 2, .tiled = true}); },
       0.6},
      {"pdf",
       [](const std::string& p) {
         write_pdf(p,
                   {{.media_box = "[0 0 57.84 44.88]",
                     .contents = "57.84 0 0 44.88 0 0 cm /Scan Do",
                     .image = pdf_flate(kColours)}});
       },
       4.0},
      {"pdf of a jpeg",
       [](const std::string& p) {
         write_pdf(p,
                   {{.media_box = "[0 0 57.84 44.88]",
                     .contents = "57.84 0 0 44.88 0 0 cm /Scan Do",
                     .image = pdf_jpeg(kColours)}});
       },
       4.0},
  };
  for (const Written& form : forms) {
    const std::string path = folder.file("page");
    form.write(path);
    const Page page = PageFile::open(path).read(1);
    EXPECT_EQ(page.tint_shrink, 2.0) << form.name;
    EXPECT_LT(mean_difference(page.tint, means_of_squares(kColours, 2)), form.most) << form.name;
  }
}

TEST(Tint, OfHeicIsTheMeanColourOfSquares) {
  const TempFolder folder;
  const std::string path = folder.file("page.heic");
  const cv::Mat even = colour_sketch(240, 188);
  if (!write_heic(path, even, exif_block(1, 300))) GTEST_SKIP() << "no HEIC encoder";
  const Page page = PageFile::open(path).read(1);
  EXPECT_LT(mean_difference(page.tint, means_of_squares(even, 2)), 4.0);
}

TEST(Tint, OfAPaletteIsItsColours) {
  const TempFolder folder;
  const cv::Mat indices(40, 60, CV_8UC1, cv::Scalar(1));
  const std::vector<cv::Vec3b> palette = {{255, 255, 255}, {40, 90, 200}};
  write_png(folder.file("a"), indices, {.bits = 8, .palette = palette});
  write_tiff(folder.file("b"), {indices}, {.photometric = 3, .palette = palette});
  for (const char* name : {"a", "b"}) {
    const Page page = PageFile::open(folder.file(name)).read(1);
    EXPECT_EQ(page.tint.at<cv::Vec3b>(10, 10), palette[1]) << name;
  }
}

TEST(Tint, OfLargeSquaresNeedsNotEveryRow) {
  const TempFolder folder;
  write_png(folder.file("page"), kColours, {.px_per_metre = 23622});  // 600 dpi
  const Page page = PageFile::open(folder.file("page")).read(1);
  EXPECT_EQ(page.tint_shrink, 4.0);
  EXPECT_LT(mean_difference(page.tint, means_of_squares(kColours, 4)), 1.5);
}

TEST(Tint, IsTurnedUprightWithThePage) {
  const TempFolder folder;
  write_png(folder.file("page"), kColours, {.exif = exif_block(6, 300)});
  const Page page = PageFile::open(folder.file("page")).read(1);
  cv::Mat upright;
  cv::rotate(means_of_squares(kColours, 2), upright, cv::ROTATE_90_CLOCKWISE);
  EXPECT_LT(mean_difference(page.tint, upright), 0.6);
}

TEST(Tint, IsNoneOnGreyPages) {
  const TempFolder folder;
  const cv::Mat grey = grey_sketch(120, 90);
  write_png(folder.file("png"), grey);
  write_bytes(folder.file("jpeg"), jpeg_bytes(grey));
  write_tiff(folder.file("tiff"), {grey});
  for (const char* name : {"png", "jpeg", "tiff"}) {
    EXPECT_TRUE(PageFile::open(folder.file(name)).read(1).tint.empty()) << name;
  }
}

}  // namespace
}  // namespace underdraw
