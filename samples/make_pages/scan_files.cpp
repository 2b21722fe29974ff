#include "scan_files.h"

#include <cmath>
#include <cstdint>
#include <memory>

#include <cairo-pdf.h>
#include <cairo.h>
#include <png.h>

#include "core/error.h"

namespace harbour {
namespace {

using underdraw::OutputError;

[[noreturn]] void fail(const std::string& what) {
  throw OutputError({"", std::nullopt, what, "", "look for a full disk or too little memory"});
}

cairo_status_t append_bytes(void* text, const unsigned char* bytes, unsigned length) {
  static_cast<std::string*>(text)->append(reinterpret_cast<const char*>(bytes), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

std::string png_of_page(const cv::Mat& pixels, double dpi, int compression) {
  const bool colour = pixels.channels() == 3;
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
      [](png_structp p, png_bytep data, png_size_t length) {
        static_cast<std::string*>(png_get_io_ptr(p))
            ->append(reinterpret_cast<const char*>(data), length);
      },
      nullptr);
  png_set_compression_level(png, compression);
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
  png_write_info(png, info);
  if (colour) png_set_bgr(png);
  for (int y = 0; y < pixels.rows; ++y) png_write_row(png, pixels.ptr(y));
  png_write_end(png, info);
  return bytes;
}

std::string pdf_of_page(const cv::Mat& grey, double dpi, const std::string& title) {
  std::string bytes;
  const double points = 72.0 / dpi;  // a pixel
  cairo_surface_t* pdf = cairo_pdf_surface_create_for_stream(
      append_bytes, &bytes, grey.cols * points, grey.rows * points);
  cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_CREATE_DATE, "2024-05-01T09:30:00+02:00");

  // Cairo sees that all pixels are grey and writes them as grey, without loss.
  cairo_surface_t* image = cairo_image_surface_create(CAIRO_FORMAT_RGB24, grey.cols, grey.rows);
  unsigned char* pixels = cairo_image_surface_get_data(image);
  const int stride = cairo_image_surface_get_stride(image);
  for (int y = 0; y < grey.rows; ++y) {
    auto* row = reinterpret_cast<std::uint32_t*>(pixels + static_cast<std::ptrdiff_t>(y) * stride);
    for (int x = 0; x < grey.cols; ++x) row[x] = 0x010101U * grey.at<unsigned char>(y, x);
  }
  cairo_surface_mark_dirty(image);
  cairo_t* context = cairo_create(pdf);
  cairo_scale(context, points, points);
  cairo_set_source_surface(context, image, 0, 0);
  cairo_paint(context);
  cairo_show_page(context);
  const cairo_status_t drawn = cairo_status(context);
  cairo_destroy(context);
  cairo_surface_finish(pdf);
  const cairo_status_t finished = cairo_surface_status(pdf);
  cairo_surface_destroy(image);
  cairo_surface_destroy(pdf);
  for (const cairo_status_t status : {drawn, finished}) {
    if (status != CAIRO_STATUS_SUCCESS) fail(cairo_status_to_string(status));
  }
  return bytes;
}

}  // namespace harbour
