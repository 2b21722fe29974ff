#include "io/read_jpeg.h"

#include <algorithm>
#include <array>
#include <csetjmp>
#include <cstddef>
#include <cstring>
#include <vector>

#include <jpeglib.h>
// jpeglib.h must come first.
#include <jerror.h>

#include "io/exif_facts.h"
#include "io/grey_rows.h"
#include "io/page_planes.h"

namespace underdraw {
namespace {

struct Trouble {
  jpeg_error_mgr manager{};  // first, so that libjpeg's pointer to it is one to us
  std::jmp_buf way_out{};
  std::array<char, JMSG_LENGTH_MAX> text{};
};

[[noreturn]] void on_error(j_common_ptr info) {
  auto* trouble = reinterpret_cast<Trouble*>(info->err);
  info->err->format_message(info, trouble->text.data());
  std::longjmp(trouble->way_out, 1);
}

// libjpeg calls missing or broken data a warning and goes on with grey. Only what leaves the
// pixels whole may pass.
void on_message(j_common_ptr info, int level) {
  if (level >= 0) return;
  const int code = info->err->msg_code;
  const bool harmless =
      code == JWRN_EXTRANEOUS_DATA || code == JWRN_ADOBE_XFORM || code == JWRN_JFIF_MAJOR;
  if (!harmless) on_error(info);
}

// As in read_png.cpp: `step` calls libjpeg and nothing else.
template <typename Step>
bool survives(Trouble& trouble, const Step& step) {
  if (setjmp(trouble.way_out) != 0) return false;
  step();
  return true;
}

class JpegDecoder {
 public:
  JpegDecoder(const std::string& path, const std::string& kind) : path_(path), kind_(kind) {
    info_.err = jpeg_std_error(&trouble_.manager);
    trouble_.manager.error_exit = on_error;
    trouble_.manager.emit_message = on_message;
  }
  JpegDecoder(const JpegDecoder&) = delete;
  JpegDecoder& operator=(const JpegDecoder&) = delete;
  ~JpegDecoder() { jpeg_destroy_decompress(&info_); }

  void read_header(std::FILE* file) {
    run([this, file] {
      jpeg_create_decompress(&info_);
      jpeg_save_markers(&info_, JPEG_APP0 + 1, 0xFFFF);  // EXIF
      jpeg_stdio_src(&info_, file);
      jpeg_read_header(&info_, TRUE);
    });
  }
  void read_header(std::span<const std::uint8_t> memory) {
    run([this, memory] {
      jpeg_create_decompress(&info_);
      jpeg_mem_src(&info_, memory.data(), memory.size());
      jpeg_read_header(&info_, TRUE);
    });
  }

  PageHeader header() const;
  PageImage image(int tint_shrink);

 private:
  template <typename Step>
  void run(const Step& step) {
    if (!survives(trouble_, step)) throw damaged_page_file(path_, kind_, trouble_.text.data());
  }

  std::string path_;
  std::string kind_;
  Trouble trouble_;
  jpeg_decompress_struct info_{};
};

PageHeader JpegDecoder::header() const {
  PageHeader header;
  header.width_px = info_.image_width;
  header.height_px = info_.image_height;

  std::optional<Resolution> jfif;
  if (info_.saw_JFIF_marker && (info_.density_unit == 1 || info_.density_unit == 2)) {
    const double per_inch = info_.density_unit == 2 ? 2.54 : 1.0;
    jfif = Resolution{info_.X_density * per_inch, info_.Y_density * per_inch};
  }
  ExifFacts exif;
  for (const jpeg_marker_struct* marker = info_.marker_list; marker; marker = marker->next) {
    const std::span<const std::uint8_t> block(marker->data, marker->data_length);
    if (block.size() > 6 && std::memcmp(block.data(), "Exif\0", 6) == 0) {
      exif = read_exif(block);
      break;
    }
  }
  header.orientation = exif.orientation;

  const bool exif_unknown = exif.resolution && means_unknown(*exif.resolution);
  const bool jfif_default = jfif && means_unknown(*jfif);
  if (jfif && !jfif_default) {
    header.resolution = jfif;
  } else if (exif_unknown) {
    header.why_no_resolution = "its EXIF 72 dpi stands for unknown";
  } else {
    header.resolution = exif.resolution ? exif.resolution : jfif;
  }
  return header;
}

PageImage JpegDecoder::image(int tint_shrink) {
  RowLayout layout;
  bool ycc = false;
  switch (info_.jpeg_color_space) {
    case JCS_GRAYSCALE:
      info_.out_color_space = JCS_GRAYSCALE;
      break;
    case JCS_YCbCr:  // the luma is there already
      info_.out_color_space = JCS_YCbCr;
      info_.do_fancy_upsampling = FALSE;  // the colours are averaged anyway
      ycc = true;
      break;
    case JCS_RGB:
      info_.out_color_space = JCS_RGB;
      layout = {.colour = RowColour::rgb, .channels = 3};
      break;
    case JCS_CMYK:
    case JCS_YCCK:
      info_.out_color_space = JCS_CMYK;
      layout = {
          .colour = RowColour::cmyk, .channels = 4, .inverted = info_.saw_Adobe_marker != FALSE};
      break;
    default:
      throw InputError({.file = path_,
                        .line = {},
                        .found = "holds a JPEG in colours of an unknown kind",
                        .expected = "grey, RGB or CMYK",
                        .remedy = "save it as grey or RGB"});
  }

  const int height = static_cast<int>(info_.image_height);
  const bool colour = ycc || layout.colour != RowColour::grey;
  PagePlanes planes(static_cast<int>(info_.image_width), height, tint_shrink, colour);
  run([this] { jpeg_start_decompress(&info_); });
  std::vector<std::uint8_t> row(colour ? info_.image_width * std::size_t{4} : 0);
  for (int y = 0; y < height; ++y) {
    JSAMPROW target = colour ? row.data() : planes.grey_row(y).data();
    run([this, &target] { jpeg_read_scanlines(&info_, &target, 1); });
    if (ycc) {
      planes.put_ycc_row(y, row);
    } else if (colour) {
      planes.put_row(y, row, layout);
    }
  }
  run([this] { jpeg_finish_decompress(&info_); });  // goes on to the end marker
  return planes.finish();
}

class JpegReader : public PageReader {
 public:
  explicit JpegReader(const std::string& path) : path_(path) {
    with_decoder([this](JpegDecoder& decoder) { header_ = decoder.header(); });
  }
  int page_count() const override { return 1; }
  PageHeader header(int) const override { return header_; }
  PageImage image(int, int tint_shrink) const override {
    PageImage image;
    with_decoder([&](JpegDecoder& decoder) { image = decoder.image(tint_shrink); });
    return image;
  }

 private:
  template <typename Use>
  void with_decoder(const Use& use) const {
    const FileHandle file = open_page_file(path_);
    JpegDecoder decoder(path_, "JPEG");
    decoder.read_header(file.get());
    use(decoder);
  }

  std::string path_;
  PageHeader header_;
};

}  // namespace

std::unique_ptr<PageReader> open_jpeg(const std::string& path) {
  return std::make_unique<JpegReader>(path);
}

PageImage image_from_jpeg(std::span<const std::uint8_t> jpeg,
                          int tint_shrink,
                          const std::string& path,
                          const std::string& kind) {
  JpegDecoder decoder(path, kind);
  decoder.read_header(jpeg);
  return decoder.image(tint_shrink);
}

}  // namespace underdraw
