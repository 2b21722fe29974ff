#include "io/write_jpeg.h"

#include <csetjmp>
#include <cstddef>
#include <cstdio>
#include <cstdlib>

#include <jpeglib.h>
// jpeglib.h must come after what it needs.
#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr int kLongestSide = JPEG_MAX_DIMENSION;

struct Trouble {
  jpeg_error_mgr manager{};  // first: libjpeg hands back a pointer to it
  std::jmp_buf way_out{};
};

[[noreturn]] void on_error(j_common_ptr info) {
  std::longjmp(reinterpret_cast<Trouble*>(info->err)->way_out, 1);
}

struct Bytes {
  unsigned char* data = nullptr;
  unsigned long size = 0;
};

// No object that needs a destructor lives in here: an error leaves by longjmp.
bool compress(const cv::Mat& bgr, int quality, Bytes& bytes) {
  Trouble trouble;
  jpeg_compress_struct info{};
  info.err = jpeg_std_error(&trouble.manager);
  trouble.manager.error_exit = on_error;
  jpeg_create_compress(&info);
  if (setjmp(trouble.way_out) != 0) {
    jpeg_destroy_compress(&info);
    return false;
  }
  jpeg_mem_dest(&info, &bytes.data, &bytes.size);
  info.image_width = static_cast<JDIMENSION>(bgr.cols);
  info.image_height = static_cast<JDIMENSION>(bgr.rows);
  info.input_components = 3;
  info.in_color_space = JCS_EXT_BGR;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, quality, TRUE);
  info.optimize_coding = TRUE;
  jpeg_start_compress(&info, TRUE);
  while (info.next_scanline < info.image_height) {
    auto* row = const_cast<JSAMPROW>(bgr.ptr<unsigned char>(static_cast<int>(info.next_scanline)));
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  return true;
}

}  // namespace

std::string jpeg_of_picture(const cv::Mat& bgr, int quality) {
  require_between(quality, 1.0, 100.0, "JPEG quality", "");
  if (bgr.empty() || bgr.type() != CV_8UC3 || bgr.cols > kLongestSide || bgr.rows > kLongestSide) {
    throw OutputError({.file = {},
                       .line = {},
                       .found = fmt::format("a picture of {} x {} px", bgr.cols, bgr.rows),
                       .expected = fmt::format("1 to {} px each way in colour", kLongestSide),
                       .remedy = {}});
  }
  Bytes bytes;
  const bool done = compress(bgr, quality, bytes);
  std::string out;
  if (done) out.assign(reinterpret_cast<const char*>(bytes.data), bytes.size);
  std::free(bytes.data);
  if (!done) {
    throw OutputError({.file = {},
                       .line = {},
                       .found = "a picture could not be written as JPEG",
                       .expected = {},
                       .remedy = "free some memory"});
  }
  return out;
}

}  // namespace underdraw
