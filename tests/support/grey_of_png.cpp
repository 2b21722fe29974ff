#include "support/grey_of_png.h"

#include <stdexcept>

#include <png.h>

namespace underdraw::test {

cv::Mat grey_of_png(const std::string& bytes) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  if (!png_image_begin_read_from_memory(&image, bytes.data(), bytes.size())) {
    throw std::runtime_error("the picture cannot be read");
  }
  image.format = PNG_FORMAT_GRAY;
  cv::Mat grey(static_cast<int>(image.height), static_cast<int>(image.width), CV_8UC1);
  png_image_finish_read(&image, nullptr, grey.data, static_cast<png_int_32>(grey.step), nullptr);
  return grey;
}

}  // namespace underdraw::test
