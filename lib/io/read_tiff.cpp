#include "io/read_tiff.h"

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <span>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <tiffio.h>

#include "io/grey_rows.h"
#include "io/page_planes.h"

namespace underdraw {
namespace {

constexpr int kMostSamples = 32;  // a pixel may have 65,535: rows of gigabytes in a tiny file

struct Trouble {
  std::string first;  // what libtiff said first, when it is an error or `strict`
  bool strict = false;

  void note(const char* format, va_list arguments) {
    if (!first.empty()) return;
    std::array<char, 200> text{};
    std::vsnprintf(text.data(), text.size(), format, arguments);
    first = text.data();
  }
};

int on_error(TIFF*, void* trouble, const char*, const char* format, va_list arguments) {
  static_cast<Trouble*>(trouble)->note(format, arguments);
  return 1;
}

// A tag that lies behind the end of the file is only worth a warning to libtiff.
int on_warning(TIFF*, void* trouble, const char*, const char* format, va_list arguments) {
  auto* here = static_cast<Trouble*>(trouble);
  if (here->strict || std::string_view(format).starts_with("IO error")) {
    here->note(format, arguments);
  }
  return 1;
}

struct TiffCloser {
  void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};

std::uint16_t tag(TIFF* tiff, std::uint32_t name) {
  std::uint16_t value = 0;
  TIFFGetFieldDefaulted(tiff, name, &value);
  return value;
}

// The row layout that this directory's rows have, when it is one that is read here.
struct RowPlan {
  int bits = 0;
  RowLayout layout;
  // For rows of one sample of at most 8 bits: one grey a value, or red, green and blue.
  std::vector<std::uint8_t> table;
};

std::vector<std::uint8_t> value_table(TIFF* tiff, int bits, std::uint16_t photometric) {
  const std::size_t count = std::size_t{1} << bits;
  if (photometric == PHOTOMETRIC_PALETTE) {
    std::vector<std::uint8_t> rgb(count * 3);
    std::array<std::uint16_t*, 3> maps{};
    if (TIFFGetField(tiff, TIFFTAG_COLORMAP, &maps[0], &maps[1], &maps[2]) == 0) return {};
    for (std::size_t i = 0; i < count; ++i) {
      std::array<std::uint16_t, 3> colour{maps[0][i], maps[1][i], maps[2][i]};
      fill_8_from_16(colour, std::span(rgb).subspan(3 * i, 3));
    }
    return rgb;
  }
  std::vector<std::uint8_t> greys(count);
  for (std::size_t i = 0; i < count; ++i) {
    const auto value = static_cast<std::uint8_t>(i * 255 / (count - 1));
    greys[i] =
        static_cast<std::uint8_t>(photometric == PHOTOMETRIC_MINISWHITE ? 255 - value : value);
  }
  return greys;
}

std::optional<RowPlan> row_plan(TIFF* tiff) {
  const int samples = tag(tiff, TIFFTAG_SAMPLESPERPIXEL);
  const bool interleaved = samples == 1 || tag(tiff, TIFFTAG_PLANARCONFIG) == PLANARCONFIG_CONTIG;
  if (TIFFIsTiled(tiff) != 0 || !interleaved) return {};
  if (tag(tiff, TIFFTAG_SAMPLEFORMAT) != SAMPLEFORMAT_UINT) return {};

  RowPlan plan;
  plan.bits = tag(tiff, TIFFTAG_BITSPERSAMPLE);
  std::uint16_t photometric = tag(tiff, TIFFTAG_PHOTOMETRIC);
  if (photometric == PHOTOMETRIC_YCBCR && tag(tiff, TIFFTAG_COMPRESSION) == COMPRESSION_JPEG) {
    TIFFSetField(tiff, TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
    photometric = PHOTOMETRIC_RGB;
  }
  const bool grey = photometric == PHOTOMETRIC_MINISBLACK || photometric == PHOTOMETRIC_MINISWHITE;
  const bool small = plan.bits == 1 || plan.bits == 2 || plan.bits == 4 || plan.bits == 8;
  if (samples == 1 && small && (grey || photometric == PHOTOMETRIC_PALETTE)) {
    plan.table = value_table(tiff, plan.bits, photometric);
    if (plan.table.empty()) return {};
    if (!grey) plan.layout = {.colour = RowColour::rgb, .channels = 3};
    return plan;
  }

  if (plan.bits != 8 && plan.bits != 16) return {};
  int colours = 1;
  if (photometric == PHOTOMETRIC_RGB) {
    plan.layout.colour = RowColour::rgb;
    colours = 3;
  } else if (photometric == PHOTOMETRIC_SEPARATED && tag(tiff, TIFFTAG_INKSET) == INKSET_CMYK) {
    plan.layout.colour = RowColour::cmyk;
    colours = 4;
  } else if (!grey) {
    return {};
  }
  if (samples < colours || samples > kMostSamples) return {};
  plan.layout.channels = samples;
  plan.layout.inverted = photometric == PHOTOMETRIC_MINISWHITE;
  std::uint16_t extra_count = 0;
  std::uint16_t* extra = nullptr;
  TIFFGetFieldDefaulted(tiff, TIFFTAG_EXTRASAMPLES, &extra_count, &extra);
  if (samples > colours && extra_count > 0) {
    if (extra[0] == EXTRASAMPLE_ASSOCALPHA) plan.layout.alpha = RowAlpha::premultiplied;
    if (extra[0] == EXTRASAMPLE_UNASSALPHA) plan.layout.alpha = RowAlpha::plain;
  }
  return plan;
}

void fill_from_table(std::span<const std::uint8_t> row,
                     const RowPlan& plan,
                     std::span<std::uint8_t> values) {
  const auto each = static_cast<std::size_t>(plan.layout.channels);
  const auto bits = static_cast<std::size_t>(plan.bits);
  const std::size_t per_byte = 8 / bits;
  const unsigned mask = (1U << bits) - 1U;
  for (std::size_t x = 0; x * each < values.size(); ++x) {
    const std::size_t shift = 8 - bits - (x % per_byte) * bits;
    const std::uint8_t* value = &plan.table[each * ((row[x / per_byte] >> shift) & mask)];
    for (std::size_t c = 0; c < each; ++c) values[x * each + c] = value[c];
  }
}

class TiffDecoder {
 public:
  explicit TiffDecoder(const std::string& path) : path_(path) {
    open_page_file(path);  // libtiff would not say why it cannot open it
    TIFFOpenOptions* options = TIFFOpenOptionsAlloc();
    TIFFOpenOptionsSetErrorHandlerExtR(options, on_error, &trouble_);
    TIFFOpenOptionsSetWarningHandlerExtR(options, on_warning, &trouble_);
    tiff_.reset(TIFFOpenExt(path.c_str(), "rm", options));  // m: no memory map, it may be cut short
    TIFFOpenOptionsFree(options);
    if (!tiff_) throw damaged("it has no readable page");
  }

  struct Directory {
    tdir_t index = 0;
    PageHeader header;
  };
  std::vector<Directory> directories();
  PageImage image(tdir_t index, int tint_shrink);

 private:
  InputError damaged(const std::string& otherwise) const {
    return damaged_page_file(path_, "TIFF", trouble_.first.empty() ? otherwise : trouble_.first);
  }
  PageHeader header();
  void read_rows(const RowPlan& plan, PagePlanes& planes, cv::Size size);
  void read_bands(PagePlanes& planes, cv::Size size);

  std::string path_;
  Trouble trouble_;
  std::unique_ptr<TIFF, TiffCloser> tiff_;
};

PageHeader TiffDecoder::header() {
  TIFF* tiff = tiff_.get();
  PageHeader header;
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  TIFFGetField(tiff, TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, &height);
  header.width_px = width;
  header.height_px = height;
  header.orientation = tag(tiff, TIFFTAG_ORIENTATION);
  float x = 0.0F;
  float y = 0.0F;
  const std::uint16_t unit = tag(tiff, TIFFTAG_RESOLUTIONUNIT);
  if (TIFFGetField(tiff, TIFFTAG_XRESOLUTION, &x) != 0 &&
      TIFFGetField(tiff, TIFFTAG_YRESOLUTION, &y) != 0 && unit != RESUNIT_NONE) {
    const double per_inch = unit == RESUNIT_CENTIMETER ? 2.54 : 1.0;
    header.resolution =
        Resolution{static_cast<double>(x) * per_inch, static_cast<double>(y) * per_inch};
  }
  return header;
}

std::vector<TiffDecoder::Directory> TiffDecoder::directories() {
  std::vector<Directory> found;
  tdir_t index = 0;
  do {
    std::uint32_t subfile = 0;
    TIFFGetField(tiff_.get(), TIFFTAG_SUBFILETYPE, &subfile);
    if ((subfile & (FILETYPE_REDUCEDIMAGE | FILETYPE_MASK)) != 0) continue;
    if (found.size() == kMostPagesInFile) throw too_many_pages(path_);
    found.push_back({.index = TIFFCurrentDirectory(tiff_.get()), .header = header()});
  } while (++index < 4 * kMostPagesInFile && TIFFReadDirectory(tiff_.get()) != 0);
  // The end of the chain and a broken link both end the loop; only the latter is an error.
  if (!trouble_.first.empty() || found.empty()) throw damaged("it has no page, only thumbnails");
  return found;
}

PageImage TiffDecoder::image(tdir_t index, int tint_shrink) {
  if (TIFFSetDirectory(tiff_.get(), index) == 0) throw damaged("a page is missing");
  const PageHeader facts = header();
  const cv::Size size(static_cast<int>(facts.width_px), static_cast<int>(facts.height_px));
  const std::optional<RowPlan> plan = row_plan(tiff_.get());
  PagePlanes planes(
      size.width, size.height, tint_shrink, !plan || plan->layout.colour != RowColour::grey);
  trouble_.strict = true;
  if (plan) {
    read_rows(*plan, planes, size);
  } else {
    read_bands(planes, size);
  }
  if (!trouble_.first.empty()) throw damaged("");
  return planes.finish();
}

void TiffDecoder::read_rows(const RowPlan& plan, PagePlanes& planes, cv::Size size) {
  const auto width = static_cast<std::size_t>(size.width);
  const std::size_t samples =
      plan.table.empty() ? width * static_cast<std::size_t>(plan.layout.channels) : width;
  const auto row_bytes = static_cast<std::size_t>(TIFFScanlineSize(tiff_.get()));
  if (row_bytes < (samples * static_cast<std::size_t>(plan.bits) + 7) / 8) {
    throw damaged("its rows are shorter than its width");
  }
  std::vector<std::uint16_t> row(row_bytes / 2 + 1);  // aligned for 16-bit samples
  std::vector<std::uint8_t> narrowed(plan.bits == 16 ? samples : 0);
  const auto* bytes = reinterpret_cast<const std::uint8_t*>(row.data());
  std::vector<std::uint8_t> triples(plan.table.empty() ? 0 : 3 * width);
  for (int y = 0; y < size.height; ++y) {
    if (TIFFReadScanline(tiff_.get(), row.data(), static_cast<std::uint32_t>(y), 0) < 0) {
      throw damaged("rows are missing");
    }
    if (!plan.table.empty() && plan.layout.colour == RowColour::grey) {
      fill_from_table({bytes, row_bytes}, plan, planes.grey_row(y));
    } else if (!plan.table.empty()) {
      fill_from_table({bytes, row_bytes}, plan, triples);
      planes.put_row(y, triples, plan.layout);
    } else if (plan.bits == 16) {
      fill_8_from_16(std::span(row).first(samples), narrowed);
      planes.put_row(y, narrowed, plan.layout);
    } else {
      planes.put_row(y, {bytes, samples}, plan.layout);
    }
  }
}

// Bands as high as a strip or tile, so that each of them is decoded once.
void TiffDecoder::read_bands(PagePlanes& planes, cv::Size size) {
  TIFF* tiff = tiff_.get();
  std::array<char, 1024> reason{};
  TIFFRGBAImage image{};
  if (TIFFRGBAImageOK(tiff, reason.data()) == 0 ||
      TIFFRGBAImageBegin(&image, tiff, 1, reason.data()) == 0) {
    throw InputError(
        {.file = path_,
         .line = {},
         .found = fmt::format("holds an image of a kind that cannot be read: {}", reason.data()),
         .expected = "8 or 16 bits; grey, palette, RGB or CMYK",
         .remedy = "save it as grey or RGB"});
  }
  const std::unique_ptr<TIFFRGBAImage, void (*)(TIFFRGBAImage*)> closer(&image, TIFFRGBAImageEnd);
  image.orientation = ORIENTATION_TOPLEFT;  // as stored; turned upright later
  image.req_orientation = ORIENTATION_TOPLEFT;

  std::uint32_t band = 0;
  if (TIFFIsTiled(tiff) != 0) {
    TIFFGetField(tiff, TIFFTAG_TILELENGTH, &band);
  } else {
    TIFFGetFieldDefaulted(tiff, TIFFTAG_ROWSPERSTRIP, &band);
  }
  band = std::clamp(band, 1U, static_cast<std::uint32_t>(size.height));
  const auto width = static_cast<std::uint32_t>(size.width);
  std::vector<std::uint32_t> raster(static_cast<std::size_t>(width) * band);
  std::vector<std::uint8_t> rgba(std::size_t{4} * width);
  const RowLayout layout{.colour = RowColour::rgb, .channels = 4, .alpha = RowAlpha::premultiplied};
  for (std::uint32_t top = 0; top < image.height; top += band) {
    const std::uint32_t rows = std::min(band, image.height - top);
    image.row_offset = static_cast<int>(top);
    if (TIFFRGBAImageGet(&image, raster.data(), width, rows) == 0)
      throw damaged("rows are missing");
    for (std::uint32_t r = 0; r < rows; ++r) {
      for (std::size_t x = 0; x < width; ++x) {
        const std::uint32_t pixel = raster[static_cast<std::size_t>(r) * width + x];
        rgba[4 * x] = static_cast<std::uint8_t>(TIFFGetR(pixel));
        rgba[4 * x + 1] = static_cast<std::uint8_t>(TIFFGetG(pixel));
        rgba[4 * x + 2] = static_cast<std::uint8_t>(TIFFGetB(pixel));
        rgba[4 * x + 3] = static_cast<std::uint8_t>(TIFFGetA(pixel));
      }
      planes.put_row(static_cast<int>(top + r), rgba, layout);
    }
  }
}

class TiffReader : public PageReader {
 public:
  explicit TiffReader(const std::string& path)
      : path_(path), directories_(TiffDecoder(path).directories()) {}
  int page_count() const override { return static_cast<int>(directories_.size()); }
  PageHeader header(int number) const override { return directory(number).header; }
  PageImage image(int number, int tint_shrink) const override {
    return TiffDecoder(path_).image(directory(number).index, tint_shrink);
  }

 private:
  const TiffDecoder::Directory& directory(int number) const {
    return directories_[static_cast<std::size_t>(number - 1)];
  }

  std::string path_;
  std::vector<TiffDecoder::Directory> directories_;
};

}  // namespace

std::unique_ptr<PageReader> open_tiff(const std::string& path) {
  return std::make_unique<TiffReader>(path);
}

}  // namespace underdraw
