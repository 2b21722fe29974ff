// Makes page files of every format for the tests, with the formats' own libraries.
//
// Images are cv::Mat of 8 or 16 bits with 1 to 4 channels in the order grey, grey + alpha, RGB,
// RGB + alpha, or CMYK where a function says so.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "io/read_pages.h"

namespace underdraw::testing_pages {

using Bytes = std::vector<std::uint8_t>;

// A folder of its own, removed with all that is in it.
class TempFolder {
 public:
  TempFolder();
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  ~TempFolder();
  std::string file(const std::string& name) const { return (folder_ / name).string(); }

 private:
  std::filesystem::path folder_;
};

Bytes bytes_of(const std::string& path);
void write_bytes(const std::string& path, const Bytes& bytes);

// Soft shading with a dark hook in it that looks different after every turn and mirroring.
cv::Mat grey_sketch(int width, int height);
// The same with three different channels.
cv::Mat colour_sketch(int width, int height);
// Rec. 601 luma of RGB, or of RGB on white where there is alpha; in floating point.
cv::Mat expected_grey(const cv::Mat& image);
int largest_difference(const cv::Mat& a, const cv::Mat& b);

// Opens and reads the page; what the InputError says, or "" when the page was read.
std::string refusal_of(const std::string& path, const ReadOptions& options = {}, int number = 1);

struct PngLook {
  std::optional<int> px_per_metre = 11811;  // 300 dpi
  std::optional<int> px_per_metre_y = {};   // as across when empty
  bool unit_known = true;
  bool interlaced = false;
  int bits = 0;                         // 1, 2 or 4 pack 8-bit values; 0: as the image
  std::vector<cv::Vec3b> palette = {};  // then the image holds indices
  Bytes exif = {};                      // without prefix
};
void write_png(const std::string& path, const cv::Mat& image, const PngLook& look = {});

struct JpegLook {
  int density = 300;
  int density_unit = 1;  // JFIF: 0 aspect only, 1 inch, 2 cm
  bool jfif = true;
  bool cmyk = false;  // 4 channels, written as given: with Adobe's marker 255 is no ink
  bool ycck = false;  // as cmyk, turned into YCCK
  bool progressive = false;
  Bytes exif = {};  // without prefix
};
Bytes jpeg_bytes(const cv::Mat& image, const JpegLook& look = {});

struct TiffLook {
  double dpi = 300.0;  // 0 states none
  bool in_cm = false;
  bool no_unit = false;
  int photometric = 1;  // MINISBLACK
  int bits = 0;         // 1, 2 or 4 pack 8-bit values
  int compression = 5;  // LZW
  int orientation = 1;
  int rows_per_strip = 8;
  bool tiled = false;
  bool separate = false;
  bool alpha = false;
  std::vector<cv::Vec3b> palette = {};
};
void write_tiff(const std::string& path,
                const std::vector<cv::Mat>& pages,
                const TiffLook& look = {});

// An EXIF block in little endian; dpi 0 states none.
Bytes exif_block(int orientation, double dpi);

struct PdfImage {
  Bytes data;
  std::string dict;  // without Width, Height and Length: "/Filter /DCTDecode /ColorSpace …"
  int width = 0;
  int height = 0;
};
struct PdfPage {
  std::string media_box = "[0 0 595.276 841.89]";
  std::string extra = {};     // "/Rotate 90"
  std::string contents = {};  // the image is /Scan, Helvetica /F
  std::optional<PdfImage> image = {};
};
struct PdfLook {
  std::string user_password = {};
  std::string owner_password = {};
};
void write_pdf(const std::string& path,
               const std::vector<PdfPage>& pages,
               const PdfLook& look = {});
PdfImage pdf_jpeg(const cv::Mat& image);
PdfImage pdf_flate(const cv::Mat& image);  // grey or RGB

// Lossless HEIC of RGB or RGBA; false when libheif came without an encoder.
bool write_heic(const std::string& path, const cv::Mat& image, const Bytes& exif = {});

}  // namespace underdraw::testing_pages
