#include "bench/bench_files.h"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <stdexcept>

#include <png.h>

#include "io/make_piece.h"
#include "io/out_folder.h"
#include "io/svg.h"
#include "scan_files.h"
#include "support/pencil_page.h"

namespace underdraw::bench {
namespace {

namespace fs = std::filesystem;

const fs::path kSample = fs::path(UNDERDRAW_SOURCE_DIR) / "samples" / "harbour-jar";

[[noreturn]] void fail(png_structp, png_const_charp text) { throw std::runtime_error(text); }

constexpr int kUsualCompression = 6;  // zlib's own default

// Paper and scanner as in samples/make_pages; the truth has the hand's wobble and the skew in it.
test::PencilOptions as_scanned() {
  test::PencilOptions options;
  options.seed = 1807;
  options.dpi = 600.0;
  options.wobble_mm = 0.0;
  options.noise = 0.6;
  options.paper_grain = 1.2;
  return options;
}

// What scanners with a "text" setting hand over: bare paper is 255 everywhere.
test::PencilOptions bleached() {
  test::PencilOptions options = as_scanned();
  options.paper_grey = 255.0;
  options.paper_grain = options.uneven_light = options.noise = 0.0;
  options.folds = options.smudges = 0;
  return options;
}

}  // namespace

BenchFiles::BenchFiles() {
  std::string pattern = (fs::temp_directory_path() / "underdraw-bench-XXXXXX").string();
  if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error(pattern + ": cannot be made");
  folder_ = pattern;

  Linework lines;
  for (const SvgGroup& group : read_svg_page(kSample / "truth" / "harbour-sketches.svg").groups) {
    lines.append(group.lines);
  }
  const auto write_page = [](const std::string& path, const test::PencilPage& page) {
    const std::string png = harbour::png_of_page(page.grey, 600.0, kUsualCompression);
    write_file(path, png, Overwrite::no);
  };
  write_page(pencil_page(), test::draw_pencil_page(lines, as_scanned()));
  write_page(white_page(), test::draw_pencil_page(lines, bleached()));

  fs::create_directory(piece_folder());
  fs::copy(kSample / "piece.toml", piece_folder());
  fs::copy(kSample / "pages", piece_folder() / "pages");
  if (!make_piece(piece_folder()).published) {
    throw std::runtime_error("the sample's sheets fail their proof");
  }
}

BenchFiles::~BenchFiles() {
  std::error_code ignored;
  fs::remove_all(folder_, ignored);
}

cv::Mat decode_png(const std::string& path) {
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"),
                                                             std::fclose);
  if (!file) throw std::runtime_error(path + ": cannot be read");
  png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, fail, nullptr);
  if (png == nullptr) throw std::runtime_error("libpng does not start");
  png_infop info = png_create_info_struct(png);
  const auto release = [&](png_structp p) { png_destroy_read_struct(&p, &info, nullptr); };
  const std::unique_ptr<png_struct, decltype(release)> owner(png, release);
  png_init_io(png, file.get());
  png_read_info(png, info);
  if (png_get_bit_depth(png, info) != 8 || png_get_color_type(png, info) != PNG_COLOR_TYPE_GRAY) {
    throw std::runtime_error(path + ": is not an 8-bit grey PNG");
  }
  cv::Mat grey(static_cast<int>(png_get_image_height(png, info)),
               static_cast<int>(png_get_image_width(png, info)),
               CV_8UC1);
  for (int y = 0; y < grey.rows; ++y) png_read_row(png, grey.ptr(y), nullptr);
  png_read_end(png, nullptr);
  return grey;
}

}  // namespace underdraw::bench
