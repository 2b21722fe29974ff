// What read_pages.cpp asks of each file format.
//
// Stage:   io, internal to it.
// In/out:  headers exactly as the file states them, unchecked; pages not yet turned upright.
// Refuses: damaged, truncated or unsupported content (InputError).
#pragma once

#include <cstdint>
#include <cstdio>
#include <memory>
#include <optional>
#include <string>

#include <opencv2/core.hpp>

#include "core/error.h"

namespace underdraw {

struct Resolution {
  double x_dpi = 0.0;
  double y_dpi = 0.0;
};

struct PageHeader {
  std::int64_t width_px = 0;  // as stored, before the orientation is applied
  std::int64_t height_px = 0;
  std::optional<Resolution> resolution;
  std::string why_no_resolution;  // set when a stated value was not believed
  int orientation = 1;            // EXIF and TIFF tag 274, 1 to 8
  bool true_size = false;         // has a size in itself (PDF), so that --dpi cannot change it
};

struct PageImage {
  cv::Mat grey;  // CV_8UC1
  cv::Mat tint;  // CV_8UC3, red, green, blue: means of squares of the page; empty if it is grey
};

class PageReader {
 public:
  PageReader() = default;
  PageReader(const PageReader&) = delete;
  PageReader& operator=(const PageReader&) = delete;
  virtual ~PageReader() = default;

  // Both take 1-based numbers of pages that exist, and may be called from several threads.
  virtual int page_count() const = 0;
  virtual PageHeader header(int number) const = 0;
  // Of the header's size; one px of the tint for tint_shrink px each way, a part of one at the
  // right and lower edge. Asked only after the header was found acceptable.
  virtual PageImage image(int number, int tint_shrink) const = 0;
};

constexpr int kMostPagesInFile = 1000;
constexpr double kLowestDpi = 50.0;
constexpr double kHighestDpi = 2400.0;

// "pages/3.png: is damaged or cut short: Read Error (expected a whole PNG image); …"
InputError damaged_page_file(const std::string& path,
                             const std::string& kind,
                             const std::string& details);

InputError too_many_pages(const std::string& path);

// Half-open files close themselves.
struct FileCloser {
  void operator()(std::FILE* file) const { std::fclose(file); }
};
using FileHandle = std::unique_ptr<std::FILE, FileCloser>;
FileHandle open_page_file(const std::string& path);  // throws InputError

}  // namespace underdraw
