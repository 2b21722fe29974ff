#include "io/read_png.h"

#include <array>
#include <csetjmp>
#include <cstring>
#include <span>
#include <string_view>
#include <vector>

#include <png.h>

#include "io/exif_facts.h"
#include "io/grey_rows.h"
#include "io/page_planes.h"

namespace underdraw {
namespace {

constexpr png_alloc_size_t kMostChunkBytes = 50'000'000;  // pixels are not meant: they come in rows

struct Trouble {
  std::array<char, 120> text{};  // plain memory: written just before a longjmp
};

[[noreturn]] void on_error(png_structp png, png_const_charp message) {
  auto& text = static_cast<Trouble*>(png_get_error_ptr(png))->text;
  std::strncpy(text.data(), message, text.size() - 1);
  png_longjmp(png, 1);
}

// A chunk above the limit is only worth a warning to libpng, which takes the memory all the same.
void on_warning(png_structp png, png_const_charp message) {
  if (std::string_view(message).ends_with("chunk data is too large")) png_error(png, message);
}

// libpng leaves errors by longjmp, which may only pass frames without destructors: `step` calls
// libpng and nothing else, and captures references only.
template <typename Step>
bool survives(png_structp png, const Step& step) {
  if (setjmp(png_jmpbuf(png)) != 0) return false;
  step();
  return true;
}

class PngDecoder {
 public:
  explicit PngDecoder(const std::string& path) : path_(path), file_(open_page_file(path)) {
    png_ = png_create_read_struct(PNG_LIBPNG_VER_STRING, &trouble_, on_error, on_warning);
    info_ = png_ ? png_create_info_struct(png_) : nullptr;
    if (!info_) {
      png_destroy_read_struct(&png_, nullptr, nullptr);
      throw std::bad_alloc();
    }
    // Memory is taken for what a chunk says of its own length, before a byte of it is there.
    png_set_chunk_malloc_max(png_, kMostChunkBytes);
    try {
      run([this] {
        png_init_io(png_, file_.get());
        png_read_info(png_, info_);
      });
    } catch (...) {
      png_destroy_read_struct(&png_, &info_, nullptr);
      throw;
    }
  }
  PngDecoder(const PngDecoder&) = delete;
  PngDecoder& operator=(const PngDecoder&) = delete;
  ~PngDecoder() { png_destroy_read_struct(&png_, &info_, nullptr); }

  PageHeader header() const {
    PageHeader header;
    header.width_px = png_get_image_width(png_, info_);
    header.height_px = png_get_image_height(png_, info_);
    png_uint_32 size = 0;
    png_bytep block = nullptr;
    if (png_get_eXIf_1(png_, info_, &size, &block) != 0 && block) {
      const ExifFacts exif = read_exif({block, size});
      header.orientation = exif.orientation;
      if (exif.resolution && means_unknown(*exif.resolution)) {
        header.why_no_resolution = "its EXIF 72 dpi stands for unknown";
      } else {
        header.resolution = exif.resolution;
      }
    }
    png_uint_32 x = 0;
    png_uint_32 y = 0;
    int unit = PNG_RESOLUTION_UNKNOWN;
    if (png_get_pHYs(png_, info_, &x, &y, &unit) != 0 && unit == PNG_RESOLUTION_METER) {
      header.resolution = Resolution{x * 0.0254, y * 0.0254};
    }
    return header;
  }

  PageImage image(int tint_shrink) {
    const png_byte type = png_get_color_type(png_, info_);
    run([this, type] {
      if (type == PNG_COLOR_TYPE_PALETTE) png_set_palette_to_rgb(png_);
      if (type == PNG_COLOR_TYPE_GRAY) png_set_expand_gray_1_2_4_to_8(png_);
      if (png_get_valid(png_, info_, PNG_INFO_tRNS) != 0) png_set_tRNS_to_alpha(png_);
      png_set_scale_16(png_);
      png_read_update_info(png_, info_);
    });
    RowLayout layout;
    layout.channels = png_get_channels(png_, info_);
    if (layout.channels > 2) layout.colour = RowColour::rgb;
    if (layout.channels % 2 == 0) layout.alpha = RowAlpha::plain;

    const int width = static_cast<int>(png_get_image_width(png_, info_));
    const int height = static_cast<int>(png_get_image_height(png_, info_));
    PagePlanes planes(width, height, tint_shrink, layout.colour != RowColour::grey);
    row_.resize(png_get_rowbytes(png_, info_));
    if (png_get_interlace_type(png_, info_) == PNG_INTERLACE_NONE) {
      read_rows(layout, planes, height);
    } else {
      read_passes(layout, planes);
    }
    run([this] { png_read_end(png_, nullptr); });  // the last checksums, and that there is an end
    return planes.finish();
  }

 private:
  template <typename Step>
  void run(const Step& step) {
    if (!survives(png_, step)) throw damaged_page_file(path_, "PNG", trouble_.text.data());
  }

  void read_rows(const RowLayout& layout, PagePlanes& planes, int height) {
    for (int y = 0; y < height; ++y) {
      if (layout.channels == 1) {
        std::uint8_t* out = planes.grey_row(y).data();
        run([this, out] { png_read_row(png_, out, nullptr); });
        continue;
      }
      run([this] { png_read_row(png_, row_.data(), nullptr); });
      planes.put_row(y, row_, layout);
    }
  }

  // Without png_set_interlace_handling, libpng hands over the seven small images as they are
  // stored, so that no colour copy of the whole page is needed.
  void read_passes(const RowLayout& layout, PagePlanes& planes) {
    const png_uint_32 width = png_get_image_width(png_, info_);
    const png_uint_32 height = png_get_image_height(png_, info_);
    for (int pass = 0; pass < PNG_INTERLACE_ADAM7_PASSES; ++pass) {
      const png_uint_32 columns = PNG_PASS_COLS(width, pass);
      const png_uint_32 rows = PNG_PASS_ROWS(height, pass);
      if (columns == 0 || rows == 0) continue;
      for (png_uint_32 r = 0; r < rows; ++r) {
        run([this] { png_read_row(png_, row_.data(), nullptr); });
        planes.put_part(static_cast<int>(PNG_ROW_FROM_PASS_ROW(r, pass)),
                        PNG_PASS_START_COL(pass),
                        1 << PNG_PASS_COL_SHIFT(pass),
                        row_,
                        layout);
      }
    }
  }

  std::string path_;
  FileHandle file_;
  Trouble trouble_;
  png_structp png_ = nullptr;
  png_infop info_ = nullptr;
  std::vector<std::uint8_t> row_;
};

class PngReader : public PageReader {
 public:
  explicit PngReader(const std::string& path) : path_(path), header_(PngDecoder(path).header()) {}
  int page_count() const override { return 1; }
  PageHeader header(int) const override { return header_; }
  PageImage image(int, int tint_shrink) const override {
    return PngDecoder(path_).image(tint_shrink);
  }

 private:
  std::string path_;
  PageHeader header_;
};

}  // namespace

std::unique_ptr<PageReader> open_png(const std::string& path) {
  return std::make_unique<PngReader>(path);
}

}  // namespace underdraw
