#include "io/draw_overlay.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <numbers>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/cairo_canvas.h"

namespace underdraw {
namespace {

struct Colour {
  double red, green, blue;
};
// #0072b2 of the set by M. Okabe and K. Ito, Color Universal Design (2008).
constexpr Colour kLine{0.0, 0.447, 0.698};
constexpr Colour kWhite{1.0, 1.0, 1.0};
constexpr Colour kInk{0.1, 0.14, 0.18};

void set_colour(cairo_t* context, Colour colour) {
  cairo_set_source_rgb(context, colour.red, colour.green, colour.blue);
}

void paint_photo(cairo_surface_t* surface, const cv::Mat& bgr) {
  cairo_surface_flush(surface);
  unsigned char* data = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  for (int y = 0; y < bgr.rows; ++y) {
    auto* row = reinterpret_cast<std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
    const auto* from = bgr.ptr<cv::Vec3b>(y);
    for (int x = 0; x < bgr.cols; ++x) {
      row[x] = (std::uint32_t{from[x][2]} << 16) | (std::uint32_t{from[x][1]} << 8) | from[x][0];
    }
  }
  cairo_surface_mark_dirty(surface);
}

// Draws in px of the picture; `unit` is about a hundredth of its longer side.
class Overlay {
 public:
  Overlay(cairo_t* context, double px_from_photo, double unit)
      : context_(context), scale_(px_from_photo), unit_(unit) {
    cairo_set_line_cap(context_, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(context_, CAIRO_LINE_JOIN_ROUND);
  }

  void line(const std::vector<Vec2>& points, bool covered) {
    course(points);
    set_colour(context_, kWhite);
    cairo_set_line_width(context_, std::max(2.6, 0.24 * unit_));
    cairo_stroke(context_);
    course(points);
    set_colour(context_, kLine);
    cairo_set_line_width(context_, std::max(1.2, 0.11 * unit_));
    const double dashes[] = {0.35 * unit_, 0.4 * unit_};
    if (!covered) cairo_set_dash(context_, dashes, 2, 0.0);
    cairo_stroke(context_);
    cairo_set_dash(context_, nullptr, 0, 0.0);
  }

  // On top of its lines, inside the picture.
  void number(int number, const Box& lines, double width) {
    const std::string text = std::to_string(number);
    const double size = 1.3 * unit_;
    set_font(context_, text, size, true);
    const double wide = advance(context_, text);
    const double radius = std::max(0.62 * wide, 0.6 * size) + 0.25 * unit_;
    const double x =
        std::clamp(lines.centre().x * scale_, radius, std::max(radius, width - radius));
    const double y = std::max(lines.min.y * scale_ - radius - 0.3 * unit_, radius);
    cairo_new_path(context_);
    cairo_arc(context_, x, y, radius, 0.0, 2.0 * std::numbers::pi);
    set_colour(context_, kWhite);
    cairo_fill_preserve(context_);
    set_colour(context_, kLine);
    cairo_set_line_width(context_, 0.16 * unit_);
    cairo_stroke(context_);
    word({x - wide / 2.0, y + 0.36 * size}, text, size, true);
  }

  void word(Vec2 at, const std::string& text, double size, bool bold) {
    set_font(context_, text, size, bold);
    set_colour(context_, kInk);
    cairo_move_to(context_, at.x, at.y);
    cairo_show_text(context_, text.c_str());
  }

 private:
  void course(const std::vector<Vec2>& points) {
    cairo_new_path(context_);
    for (const Vec2 p : points) cairo_line_to(context_, p.x * scale_, p.y * scale_);
    if (points.size() == 1) cairo_close_path(context_);
  }

  cairo_t* context_;
  double scale_;
  double unit_;
};

}  // namespace

void OverlayOptions::validate() const {
  require_between(longest_px, 200.0, 8000.0, "longer side of overlays", "px");
}

std::string png_of_overlay(const cv::Mat& bgr,
                           const std::vector<PhotoLine>& lines,
                           const OverlayOptions& options) {
  options.validate();
  const double scale =
      std::min(1.0, static_cast<double>(options.longest_px) / std::max(bgr.cols, bgr.rows));
  cv::Mat picture = bgr;
  if (scale < 1.0) cv::resize(bgr, picture, {}, scale, scale, cv::INTER_AREA);
  const double unit = std::max(6.0, std::max(picture.cols, picture.rows) / 100.0);
  const double legend = ((options.title.empty() ? 1.6 : 4.0) + (options.legend ? 2.4 : 0.0)) * unit;
  const int height = picture.rows + static_cast<int>(std::ceil(legend));
  const CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.cols, height));
  require_success(cairo_surface_status(surface.get()));
  const CairoContext context(cairo_create(surface.get()));
  set_colour(context.get(), {0.975, 0.975, 0.965});
  cairo_paint(context.get());
  paint_photo(surface.get(), picture);

  Overlay overlay(context.get(), scale, unit);
  cairo_save(context.get());
  cairo_rectangle(context.get(), 0.0, 0.0, picture.cols, picture.rows);
  cairo_clip(context.get());
  std::map<int, Box> of_number;
  for (const PhotoLine& line : lines) {
    if (line.px.empty() || (!line.covered && !options.seen_too)) continue;
    overlay.line(line.px, line.covered);
    if (!line.placement) continue;
    for (const Vec2 p : line.px) of_number[*line.placement].add(p);
  }
  for (const auto& [number, box] : of_number) overlay.number(number, box, picture.cols);
  cairo_restore(context.get());

  const double margin = 1.5 * unit;
  double y = picture.rows + 2.6 * unit;
  if (!options.title.empty()) {
    overlay.word({margin, y}, readable(options.title), 1.4 * unit, true);
    y += 2.4 * unit;
  }
  if (!options.legend) return png_of_surface(surface.get());
  double x = margin;
  const auto sign = [&](bool covered, const std::string& text) {
    const double size = 1.25 * unit;
    const Vec2 from{x / scale, (y - 0.4 * unit) / scale};
    overlay.line({from, from + Vec2{2.4 * unit / scale, 0.0}}, covered);
    overlay.word({x + 3.2 * unit, y}, text, size, false);
    set_font(context.get(), text, size, false);
    x += 3.2 * unit + advance(context.get(), text) + 2.5 * unit;
  };
  sign(true,
       options.seen_too ? "line that is covered here"
                        : "line that is covered here; others are left out");
  if (options.seen_too) sign(false, "line that still shows");
  return png_of_surface(surface.get());
}

}  // namespace underdraw
