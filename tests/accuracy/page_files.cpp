#include <cmath>
#include <csetjmp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <stdexcept>

#include <jpeglib.h>
#include <png.h>

#include "accuracy/accuracy_page.h"
#include "io/read_pages.h"

namespace underdraw::test {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const std::string& what) { throw std::runtime_error(what); }

std::string png_bytes(const cv::Mat& pixels, double dpi) {
  constexpr int kFast = 1;  // zlib; the file is read once
  png_structp png = png_create_write_struct(
      PNG_LIBPNG_VER_STRING,
      nullptr,
      [](png_structp, png_const_charp text) { fail(text); },
      nullptr);
  if (png == nullptr) fail("libpng does not start");
  png_infop info = png_create_info_struct(png);
  const auto release = [&](png_structp p) { png_destroy_write_struct(&p, &info); };
  const std::unique_ptr<png_struct, decltype(release)> owner(png, release);

  std::string bytes;
  png_set_write_fn(
      png,
      &bytes,
      [](png_structp p, png_bytep data, size_t length) {
        static_cast<std::string*>(png_get_io_ptr(p))
            ->append(reinterpret_cast<const char*>(data), length);
      },
      nullptr);
  const bool colour = pixels.channels() == 3;
  png_set_IHDR(png,
               info,
               static_cast<png_uint_32>(pixels.cols),
               static_cast<png_uint_32>(pixels.rows),
               8,
               colour ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_GRAY,
               PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT,
               PNG_FILTER_TYPE_DEFAULT);
  const auto per_metre = static_cast<png_uint_32>(std::lround(dpi / 0.0254));
  png_set_pHYs(png, info, per_metre, per_metre, PNG_RESOLUTION_METER);
  png_set_compression_level(png, kFast);
  png_write_info(png, info);
  if (colour) png_set_bgr(png);
  for (int y = 0; y < pixels.rows; ++y) png_write_row(png, pixels.ptr(y));
  png_write_end(png, info);
  return bytes;
}

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

class OwnFolder {
 public:
  OwnFolder() {
    std::string pattern = (fs::temp_directory_path() / "underdraw-page-XXXXXX").string();
    if (::mkdtemp(pattern.data()) == nullptr) fail(pattern + ": cannot be made");
    path_ = pattern;
  }
  OwnFolder(const OwnFolder&) = delete;
  OwnFolder& operator=(const OwnFolder&) = delete;
  ~OwnFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

}  // namespace

std::string page_file_bytes(const AccuracyPage& page) {
  return page.jpeg_quality > 0 ? jpeg_bytes(page.pixels, page.dpi, page.jpeg_quality)
                               : png_bytes(page.pixels, page.dpi);
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
