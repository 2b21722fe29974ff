#include <cmath>
#include <csetjmp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <stdexcept>

#include <jpeglib.h>

#include "accuracy/accuracy_page.h"
#include "io/read_pages.h"
#include "scan_files.h"
#include "support/own_folder.h"

namespace underdraw::test {
namespace {

namespace fs = std::filesystem;

constexpr int kFast = 1;  // zlib; the file is read once

[[noreturn]] void fail(const std::string& what) { throw std::runtime_error(what); }

std::string jpeg_bytes(const cv::Mat& pixels, double dpi, int quality) {
  jpeg_compress_struct jpeg{};
  jpeg_error_mgr trouble{};
  jpeg.err = jpeg_std_error(&trouble);
  trouble.error_exit = [](j_common_ptr common) {
    char text[JMSG_LENGTH_MAX];
    (*common->err->format_message)(common, text);
    fail(text);
  };
  jpeg_create_compress(&jpeg);
  const auto release = [](jpeg_compress_struct* p) { jpeg_destroy_compress(p); };
  const std::unique_ptr<jpeg_compress_struct, decltype(release)> owner(&jpeg, release);

  unsigned char* memory = nullptr;
  unsigned long length = 0;
  jpeg_mem_dest(&jpeg, &memory, &length);
  jpeg.image_width = static_cast<JDIMENSION>(pixels.cols);
  jpeg.image_height = static_cast<JDIMENSION>(pixels.rows);
  jpeg.input_components = pixels.channels();
  jpeg.in_color_space = pixels.channels() == 3 ? JCS_EXT_BGR : JCS_GRAYSCALE;
  jpeg_set_defaults(&jpeg);
  jpeg_set_quality(&jpeg, quality, TRUE);
  jpeg.density_unit = 1;  // dots per inch
  jpeg.X_density = jpeg.Y_density = static_cast<UINT16>(std::lround(dpi));
  jpeg_start_compress(&jpeg, TRUE);
  for (int y = 0; y < pixels.rows; ++y) {
    auto* row = const_cast<JSAMPROW>(pixels.ptr(y));  // libjpeg only reads it
    jpeg_write_scanlines(&jpeg, &row, 1);
  }
  jpeg_finish_compress(&jpeg);
  const std::unique_ptr<unsigned char, void (*)(void*)> memory_owner(memory, std::free);
  return {reinterpret_cast<const char*>(memory), length};
}

}  // namespace

std::string page_file_bytes(const AccuracyPage& page) {
  return page.jpeg_quality > 0 ? jpeg_bytes(page.pixels, page.dpi, page.jpeg_quality)
                               : harbour::png_of_page(page.pixels, page.dpi, kFast);
}

Page page_as_read(const AccuracyPage& page) {
  const OwnFolder folder;
  const fs::path path = folder.path() / (page.name + (page.jpeg_quality > 0 ? ".jpg" : ".png"));
  std::ofstream out(path, std::ios::binary);
  const std::string bytes = page_file_bytes(page);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) fail(path.string() + ": cannot be written");
  return PageFile::open(path.string()).read(1);
}

}  // namespace underdraw::test
