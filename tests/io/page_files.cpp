#include "io/page_files.h"

#include <atomic>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include <jpeglib.h>
#include <png.h>
#include <tiffio.h>
#include <unistd.h>

#include "core/error.h"

namespace underdraw::testing_pages {

namespace fs = std::filesystem;

TempFolder::TempFolder() {
  static std::atomic<int> count{0};
  folder_ = fs::temp_directory_path() /
            ("underdraw-pages-" + std::to_string(::getpid()) + "-" + std::to_string(count++));
  fs::create_directories(folder_);
}

TempFolder::~TempFolder() {
  std::error_code ignored;
  fs::remove_all(folder_, ignored);
}

Bytes bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

void write_bytes(const std::string& path, const Bytes& bytes) {
  std::ofstream out(path, std::ios::binary);
  out.write(reinterpret_cast<const char*>(bytes.data()),
            static_cast<std::streamsize>(bytes.size()));
  if (!out) throw std::runtime_error("cannot write " + path);
}

cv::Mat grey_sketch(int width, int height) {
  cv::Mat page(height, width, CV_8UC1);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      double value = 150.0 + 60.0 * std::sin(x * 6.0 / width) + 30.0 * y / height;
      const bool stem = x > width / 5 && x < width / 4 && y > height / 6 && y < height / 2;
      const bool foot = x > width / 5 && x < width / 2 && y > height * 2 / 5 && y < height / 2;
      if (stem || foot) value = 20.0;
      page.at<std::uint8_t>(y, x) = cv::saturate_cast<std::uint8_t>(value);
    }
  }
  return page;
}

cv::Mat colour_sketch(int width, int height) {
  cv::Mat page(height, width, CV_8UC3);
  const cv::Mat grey = grey_sketch(width, height);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const int g = grey.at<std::uint8_t>(y, x);
      page.at<cv::Vec3b>(y, x) = cv::Vec3b(static_cast<std::uint8_t>(g),
                                           static_cast<std::uint8_t>(255 - g / 2),
                                           static_cast<std::uint8_t>(x * 255 / width));
    }
  }
  return page;
}

cv::Mat expected_grey(const cv::Mat& image) {
  cv::Mat values;
  image.convertTo(values, CV_64F, image.depth() == CV_16U ? 1.0 / 257.0 : 1.0);
  cv::Mat grey(image.size(), CV_8UC1);
  const int channels = image.channels();
  for (int y = 0; y < image.rows; ++y) {
    const double* p = values.ptr<double>(y);
    for (int x = 0; x < image.cols; ++x, p += channels) {
      double value = channels < 3 ? p[0] : 0.299 * p[0] + 0.587 * p[1] + 0.114 * p[2];
      if (channels % 2 == 0) {
        const double alpha = p[channels - 1] / 255.0;
        value = value * alpha + 255.0 * (1.0 - alpha);
      }
      grey.at<std::uint8_t>(y, x) = cv::saturate_cast<std::uint8_t>(value);
    }
  }
  return grey;
}

int largest_difference(const cv::Mat& a, const cv::Mat& b) {
  if (a.size() != b.size() || a.type() != b.type() || a.empty()) return 1000;
  return static_cast<int>(cv::norm(a, b, cv::NORM_INF));
}

std::string refusal_of(const std::string& path, const ReadOptions& options, int number) {
  try {
    PageFile::open(path, options).read(number);
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

namespace {

// Values of `bits` bits, the first in the highest bits; 8-bit values are shifted down unless they
// are indices.
cv::Mat packed(const cv::Mat& image, int bits, bool indices) {
  cv::Mat rows = cv::Mat::zeros(image.rows, (image.cols * bits + 7) / 8, CV_8UC1);
  for (int y = 0; y < image.rows; ++y) {
    for (int x = 0; x < image.cols; ++x) {
      const int value = image.at<std::uint8_t>(y, x) >> (indices ? 0 : 8 - bits);
      const int shift = 8 - bits - (x * bits) % 8;
      rows.at<std::uint8_t>(y, x * bits / 8) |= static_cast<std::uint8_t>(value << shift);
    }
  }
  return rows;
}

}  // namespace

void write_png(const std::string& path, const cv::Mat& image, const PngLook& look) {
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(png);
  std::FILE* file = std::fopen(path.c_str(), "wb");
  png_init_io(png, file);
  constexpr int kTypes[] = {
      PNG_COLOR_TYPE_GRAY, PNG_COLOR_TYPE_GRAY_ALPHA, PNG_COLOR_TYPE_RGB, PNG_COLOR_TYPE_RGB_ALPHA};
  const bool palette = !look.palette.empty();
  const int bits = look.bits > 0 ? look.bits : (image.depth() == CV_16U ? 16 : 8);
  png_set_IHDR(png,
               info,
               static_cast<png_uint_32>(image.cols),
               static_cast<png_uint_32>(image.rows),
               bits,
               palette ? PNG_COLOR_TYPE_PALETTE : kTypes[image.channels() - 1],
               look.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT,
               PNG_FILTER_TYPE_DEFAULT);
  if (palette) {
    std::vector<png_color> colours;
    for (const cv::Vec3b& c : look.palette) colours.push_back({c[0], c[1], c[2]});
    png_set_PLTE(png, info, colours.data(), static_cast<int>(colours.size()));
  }
  if (look.px_per_metre) {
    png_set_pHYs(png,
                 info,
                 static_cast<png_uint_32>(*look.px_per_metre),
                 static_cast<png_uint_32>(look.px_per_metre_y.value_or(*look.px_per_metre)),
                 look.unit_known ? PNG_RESOLUTION_METER : PNG_RESOLUTION_UNKNOWN);
  }
  Bytes exif = look.exif;
  if (!exif.empty()) png_set_eXIf_1(png, info, static_cast<png_uint_32>(exif.size()), exif.data());
  png_write_info(png, info);
  if (bits == 16) png_set_swap(png);
  const cv::Mat rows = bits < 8 ? packed(image, bits, palette) : image;
  std::vector<png_bytep> pointers;
  for (int y = 0; y < rows.rows; ++y) pointers.push_back(const_cast<png_bytep>(rows.ptr(y)));
  png_write_image(png, pointers.data());
  png_write_end(png, info);
  png_destroy_write_struct(&png, &info);
  std::fclose(file);
}

Bytes jpeg_bytes(const cv::Mat& image, const JpegLook& look) {
  jpeg_compress_struct info{};
  jpeg_error_mgr errors{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  unsigned char* memory = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&info, &memory, &size);
  info.image_width = static_cast<JDIMENSION>(image.cols);
  info.image_height = static_cast<JDIMENSION>(image.rows);
  info.input_components = image.channels();
  const bool cmyk = look.cmyk || look.ycck;
  info.in_color_space = cmyk ? JCS_CMYK : image.channels() == 1 ? JCS_GRAYSCALE : JCS_RGB;
  jpeg_set_defaults(&info);
  if (look.ycck) jpeg_set_colorspace(&info, JCS_YCCK);  // with Adobe's marker, as for CMYK
  jpeg_set_quality(&info, 100, TRUE);
  for (int i = 0; i < info.num_components; ++i) {
    info.comp_info[i].h_samp_factor = 1;
    info.comp_info[i].v_samp_factor = 1;
  }
  info.write_JFIF_header = !cmyk && look.jfif ? TRUE : FALSE;
  info.density_unit = static_cast<UINT8>(look.density_unit);
  info.X_density = static_cast<UINT16>(look.density);
  info.Y_density = static_cast<UINT16>(look.density);
  if (look.progressive) jpeg_simple_progression(&info);
  jpeg_start_compress(&info, TRUE);
  if (!look.exif.empty()) {
    Bytes marker{'E', 'x', 'i', 'f', 0, 0};
    marker.insert(marker.end(), look.exif.begin(), look.exif.end());
    jpeg_write_marker(&info, JPEG_APP0 + 1, marker.data(), static_cast<unsigned>(marker.size()));
  }
  for (int y = 0; y < image.rows; ++y) {
    JSAMPROW row = const_cast<JSAMPROW>(image.ptr(y));
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  Bytes bytes(memory, memory + size);
  std::free(memory);
  return bytes;
}

namespace {

void write_tiff_page(TIFF* tiff, const cv::Mat& image, const TiffLook& look) {
  const int bits = look.bits > 0 ? look.bits : (image.depth() == CV_16U ? 16 : 8);
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, image.cols);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, image.rows);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, bits);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, image.channels());
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, look.photometric);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, look.compression);
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, look.orientation);
  TIFFSetField(
      tiff, TIFFTAG_PLANARCONFIG, look.separate ? PLANARCONFIG_SEPARATE : PLANARCONFIG_CONTIG);
  if (look.alpha) {
    const std::uint16_t kind = EXTRASAMPLE_UNASSALPHA;
    TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, 1, &kind);
  }
  if (look.dpi > 0.0) {
    const double value = look.in_cm ? look.dpi / 2.54 : look.dpi;
    TIFFSetField(tiff, TIFFTAG_XRESOLUTION, value);
    TIFFSetField(tiff, TIFFTAG_YRESOLUTION, value);
    TIFFSetField(tiff,
                 TIFFTAG_RESOLUTIONUNIT,
                 look.no_unit ? RESUNIT_NONE : (look.in_cm ? RESUNIT_CENTIMETER : RESUNIT_INCH));
  }
  if (!look.palette.empty()) {
    std::vector<std::uint16_t> maps[3];
    for (auto& map : maps) map.resize(std::size_t{1} << bits);
    for (std::size_t i = 0; i < look.palette.size(); ++i) {
      for (int c = 0; c < 3; ++c) {
        maps[c][i] = static_cast<std::uint16_t>(look.palette[i][c] * 257);
      }
    }
    TIFFSetField(tiff, TIFFTAG_COLORMAP, maps[0].data(), maps[1].data(), maps[2].data());
  }
  const cv::Mat rows = bits < 8 ? packed(image, bits, !look.palette.empty()) : image.clone();
  if (look.tiled) {
    constexpr int kTile = 16;
    TIFFSetField(tiff, TIFFTAG_TILEWIDTH, kTile);
    TIFFSetField(tiff, TIFFTAG_TILELENGTH, kTile);
    for (int y = 0; y < image.rows; y += kTile) {
      for (int x = 0; x < image.cols; x += kTile) {
        cv::Mat tile = cv::Mat::zeros(kTile, kTile, image.type());
        const cv::Rect part = cv::Rect(x, y, kTile, kTile) & cv::Rect(0, 0, image.cols, image.rows);
        image(part).copyTo(tile(cv::Rect(0, 0, part.width, part.height)));
        TIFFWriteTile(
            tiff, tile.data, static_cast<std::uint32_t>(x), static_cast<std::uint32_t>(y), 0, 0);
      }
    }
    return;
  }
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, look.rows_per_strip);
  if (look.separate) {
    for (int c = 0; c < image.channels(); ++c) {
      cv::Mat plane;
      cv::extractChannel(image, plane, c);
      for (int y = 0; y < image.rows; ++y) {
        TIFFWriteScanline(
            tiff, plane.ptr(y), static_cast<std::uint32_t>(y), static_cast<std::uint16_t>(c));
      }
    }
    return;
  }
  for (int y = 0; y < image.rows; ++y) {
    TIFFWriteScanline(
        tiff, const_cast<std::uint8_t*>(rows.ptr(y)), static_cast<std::uint32_t>(y), 0);
  }
}

}  // namespace

void write_tiff(const std::string& path, const std::vector<cv::Mat>& pages, const TiffLook& look) {
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  for (const cv::Mat& page : pages) {
    write_tiff_page(tiff, page, look);
    TIFFWriteDirectory(tiff);
  }
  TIFFClose(tiff);
}

Bytes exif_block(int orientation, double dpi) {
  Bytes out{'I', 'I', 42, 0, 8, 0, 0, 0};
  const auto put = [&out](std::uint32_t value, int bytes) {
    for (int i = 0; i < bytes; ++i) out.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
  };
  const bool has_dpi = dpi > 0.0;
  const std::uint32_t entries = has_dpi ? 4 : 1;
  const std::uint32_t values_at = 8 + 2 + entries * 12 + 4;
  put(entries, 2);
  const auto entry = [&put](std::uint32_t tag, std::uint32_t type, std::uint32_t value) {
    put(tag, 2);
    put(type, 2);
    put(1, 4);
    put(value, 4);
  };
  entry(0x0112, 3, static_cast<std::uint32_t>(orientation));
  if (has_dpi) {
    entry(0x011A, 5, values_at);
    entry(0x011B, 5, values_at + 8);
    entry(0x0128, 3, 2);
  }
  put(0, 4);
  if (has_dpi) {
    for (int i = 0; i < 2; ++i) {
      put(static_cast<std::uint32_t>(std::lround(dpi * 100.0)), 4);
      put(100, 4);
    }
  }
  return out;
}

}  // namespace underdraw::testing_pages
