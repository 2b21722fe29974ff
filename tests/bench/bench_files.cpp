#include "bench/bench_files.h"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <stdexcept>

#include <fmt/format.h>
#include <png.h>

#include "core/parallel.h"
#include "io/make_piece.h"
#include "io/out_folder.h"
#include "io/photo_store.h"
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

// Sketches from the sample in a grid, again and again from the first.
Linework in_grid(const std::vector<SvgGroup>& drawn, int count, int columns) {
  constexpr Vec2 kCell{50.0, 66.0};
  Linework lines;
  for (int i = 0; i < count; ++i) {
    const Linework& sketch = drawn.at(static_cast<std::size_t>(i) % drawn.size()).lines;
    const Vec2 centre{(i % columns + 0.5) * kCell.x, (i / columns + 0.5) * kCell.y};
    lines.append(transformed(sketch, Affine::translate(centre - sketch.ink_box().centre())));
  }
  return lines;
}

struct PagePlan {
  std::string path;
  Linework lines;
  test::PencilOptions options;
};

test::PencilOptions on_paper_of(double width_mm, double height_mm) {
  test::PencilOptions options = as_scanned();
  options.page_width_mm = width_mm;
  options.page_height_mm = height_mm;
  options.folds = options.smudges = 0;  // of no given number for the area, so no fair part of it
  return options;
}

}  // namespace

BenchFiles::BenchFiles() {
  const std::vector<SvgGroup> drawn =
      read_svg_page(kSample / "truth" / "harbour-sketches.svg").groups;
  Linework whole;
  for (const SvgGroup& group : drawn) whole.append(group.lines);
  const std::vector<PagePlan> plans = {
      {pencil_page(), whole, as_scanned()},
      {white_page(), whole, bleached()},
      {on_paper("A5"), in_grid(drawn, 6, 2), on_paper_of(148.0, 210.0)},
      {on_paper("A4"), in_grid(drawn, 6, 2), on_paper_of(210.0, 297.0)},
      {on_paper("A3"), in_grid(drawn, 6, 2), on_paper_of(297.0, 420.0)},
      {sketches(4), in_grid(drawn, 4, 4), on_paper_of(210.0, 297.0)},
      {sketches(8), in_grid(drawn, 8, 4), on_paper_of(210.0, 297.0)},
      {sketches(16), in_grid(drawn, 16, 4), on_paper_of(210.0, 297.0)},
  };
  parallel_for(plans.size(), [&](std::size_t i) {
    const test::PencilPage page = test::draw_pencil_page(plans[i].lines, plans[i].options);
    const std::string png = harbour::png_of_page(page.grey, 600.0, kUsualCompression);
    write_file(plans[i].path, png, Overwrite::no);
  });

  fs::create_directory(piece_folder());
  fs::copy(kSample / "piece.toml", piece_folder());
  fs::copy(kSample / "pages", piece_folder() / "pages");
  std::vector<std::string> photos;
  for (const auto& entry : fs::directory_iterator(kSample / "photos-drawn")) {
    photos.push_back(entry.path().string());
  }
  keep_photos(piece_folder(), photos, {.stage = "drawn", .face = "wall", .note = {}});
  if (!make_piece(piece_folder()).published) {
    throw std::runtime_error("the sample's sheets fail their proof");
  }
}

std::vector<std::string> BenchFiles::pile(int count) const {
  std::vector<std::string> names;
  for (int i = 0; i < count; ++i) {
    names.push_back((folder_ / fmt::format("scan-{:02}.png", i + 1)).string());
    if (!fs::exists(names.back())) fs::create_symlink(sample_page(), names.back());
  }
  return names;
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
