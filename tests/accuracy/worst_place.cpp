#include "accuracy/worst_place.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <memory>
#include <stdexcept>
#include <vector>

#include <cairo.h>
#include <fmt/format.h>
#include <png.h>

#include "accuracy/meetings.h"
#include "accuracy/point_grid.h"

namespace underdraw::test {
namespace {

constexpr int kScale = 40;  // px a mm
constexpr int kSide = static_cast<int>(kWorstPlaceMm) * kScale;
constexpr int kCaption = 62;
constexpr int kGreys = 12;  // few, so that the PNG is small

struct Colour {
  double r, g, b;
};
constexpr Colour kDrawn{0.36, 0.62, 0.96};
constexpr Colour kTraced{0.83, 0.10, 0.12};
constexpr Colour kWrong{0.55, 0.0, 0.55};
constexpr Colour kText{0.12, 0.12, 0.14};

struct Free {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
using Surface = std::unique_ptr<cairo_surface_t, Free>;
using Canvas = std::unique_ptr<cairo_t, Free>;

struct Words {
  const char* one;
  const char* many;
  const char* here;  // beside the place; "": the picture says it
};

Words words_of(FaultKind kind) {
  switch (kind) {
    case FaultKind::kMissed:
      return {"mm missed", "mm missed", ""};
    case FaultKind::kFalseLine:
      return {"mm false", "mm false", ""};
    case FaultKind::kOff:
      return {"line off by > 0.05 mm", "lines off by > 0.05 mm", ""};
    case FaultKind::kJunction:
      return {"junction missed", "junctions missed", ""};
    case FaultKind::kSplit:
      return {"crossing split", "crossings split", "split"};
    case FaultKind::kCut:
      return {"crossing cut", "crossings cut", "cut"};
    case FaultKind::kSpur:
      return {"spur", "spurs", "spur"};
    case FaultKind::kGap:
      return {"gap", "gaps", "gap"};
    case FaultKind::kMissedDot:
      return {"dot missed", "dots missed", "no dot"};
    case FaultKind::kFalseDot:
      return {"false dot", "false dots", "false dot"};
  }
  return {"", "", ""};
}

bool inside(Vec2 p, Vec2 middle) {
  const double half = kWorstPlaceMm / 2.0;
  return std::abs(p.x - middle.x) <= half && std::abs(p.y - middle.y) <= half;
}

void set(cairo_t* c, Colour colour, double alpha = 1.0) {
  cairo_set_source_rgba(c, colour.r, colour.g, colour.b, alpha);
}

unsigned char grey_at(const Page& page, Vec2 mm) {
  const Vec2 px = page.px_from_mm(mm);
  const int x = static_cast<int>(std::floor(px.x));
  const int y = static_cast<int>(std::floor(px.y));
  if (x < 0 || y < 0 || x >= page.grey.cols || y >= page.grey.rows) return 255;
  return page.grey.at<unsigned char>(y, x);
}

// Pixels of the page as they are, in pale steps of grey; the place's bright paper is white.
void draw_scan(cairo_t* c, const Page& page, Vec2 corner) {
  std::vector<unsigned char> greys;
  for (int y = 0; y < kSide; ++y) {
    for (int x = 0; x < kSide; ++x) {
      greys.push_back(grey_at(page, corner + Vec2{(x + 0.5) / kScale, (y + 0.5) / kScale}));
    }
  }
  std::vector<unsigned char> sorted = greys;
  const auto paper_at = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() * 6 / 10);
  std::nth_element(sorted.begin(), paper_at, sorted.end());
  const double paper = std::max<double>(*paper_at, 1.0);

  cairo_surface_t* surface = cairo_get_target(c);
  cairo_surface_flush(surface);
  unsigned char* data = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  for (int y = 0; y < kSide; ++y) {
    auto* row = reinterpret_cast<std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
    for (int x = 0; x < kSide; ++x) {
      const double dark =
          std::clamp(1.0 - greys[static_cast<std::size_t>(y * kSide + x)] / paper, 0.0, 1.0);
      // The square root lifts faint pencil; what is nearly paper is left white.
      const double shown = std::sqrt(std::max(0.0, dark - 0.03));
      const double step = std::round(shown * kGreys) / kGreys;
      const auto grey = static_cast<std::uint32_t>(std::lround(255.0 - 125.0 * step));
      row[x] = grey << 16 | grey << 8 | grey;
    }
  }
  cairo_surface_mark_dirty(surface);
}

void trace_path(cairo_t* c, const Path& path) {
  if (path.points.empty()) return;
  cairo_move_to(c, path.points[0].x, path.points[0].y);
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic p = path.piece(i);
    cairo_curve_to(c, p.p1.x, p.p1.y, p.p2.x, p.p2.y, p.p3.x, p.p3.y);
  }
}

// In a canvas whose unit is the mm.
void draw_lines(cairo_t* c, const Linework& lines, Colour colour, double px, double dot_mm) {
  set(c, colour);
  cairo_set_line_width(c, px / kScale);
  cairo_set_line_cap(c, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_join(c, CAIRO_LINE_JOIN_ROUND);
  for (const Stroke& stroke : lines.strokes) {
    if (is_dot(stroke) && !stroke.path.points.empty()) {
      const Vec2 at = stroke.path.points.front();
      cairo_new_path(c);
      cairo_arc(c, at.x, at.y, dot_mm, 0.0, 2.0 * std::numbers::pi);
      cairo_fill(c);
      continue;
    }
    trace_path(c, stroke.path);
    cairo_stroke(c);
  }
  for (const Area& area : lines.areas) {
    for (const Path& ring : area.rings) trace_path(c, ring);
    cairo_stroke(c);
  }
}

// Where each traced stroke begins and ends.
void draw_ends(cairo_t* c, const Linework& lines) {
  set(c, kTraced);
  for (const Stroke& stroke : lines.strokes) {
    if (is_dot(stroke) || stroke.path.closed) continue;
    for (const Vec2 at : {stroke.path.points.front(), stroke.path.points.back()}) {
      cairo_new_path(c);
      cairo_arc(c, at.x, at.y, 3.2 / kScale, 0.0, 2.0 * std::numbers::pi);
      cairo_fill(c);
    }
  }
}

void ring(cairo_t* c, Vec2 at, double radius_mm, Colour colour, double px) {
  set(c, colour);
  cairo_set_line_width(c, px / kScale);
  cairo_new_path(c);
  cairo_arc(c, at.x, at.y, radius_mm, 0.0, 2.0 * std::numbers::pi);
  cairo_stroke(c);
}

void use_font(cairo_t* c, double px, bool bold) {
  cairo_select_font_face(c,
                         "Open Sans",
                         CAIRO_FONT_SLANT_NORMAL,
                         bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(c, px);
}

void say(cairo_t* c, Vec2 px, const std::string& text, Colour colour, bool halo) {
  cairo_move_to(c, px.x, px.y);
  if (halo) {
    cairo_text_path(c, text.c_str());
    cairo_set_source_rgb(c, 1, 1, 1);
    cairo_set_line_width(c, 3.5);
    cairo_stroke(c);
  }
  cairo_new_path(c);
  set(c, colour);
  cairo_move_to(c, px.x, px.y);
  cairo_show_text(c, text.c_str());
}

double text_width(cairo_t* c, const std::string& text) {
  cairo_text_extents_t extents;
  cairo_text_extents(c, text.c_str(), &extents);
  return extents.x_advance;
}

void draw_faults(cairo_t* c, const PageScore& score, Vec2 corner, Vec2 middle) {
  use_font(c, 12.0, true);
  std::vector<Vec2> labels;  // so that none lies on another
  for (const Fault& fault : score.faults) {
    if (!inside(fault.at, middle)) continue;
    const Vec2 at = (fault.at - corner) * kScale;
    const Words words = words_of(fault.kind);
    const std::string here = words.here;
    if (here.empty()) continue;
    set(c, kWrong);
    cairo_set_line_width(c, 2.0);
    cairo_new_path(c);
    cairo_arc(c, at.x, at.y, 11.0, 0.0, 2.0 * std::numbers::pi);
    cairo_stroke(c);
    const double wide = text_width(c, here);
    Vec2 place{std::clamp(at.x + 14.0, 4.0, kSide - wide - 4.0),
               std::clamp(at.y - 8.0, 14.0, kSide - 4.0)};
    for (const Vec2 other : labels) {
      if (std::abs(other.x - place.x) < 40.0 && std::abs(other.y - place.y) < 13.0) {
        place.y = other.y + 14.0;
      }
    }
    labels.push_back(place);
    say(c, place, here, kWrong, true);
  }
}

void draw_caption(cairo_t* c, const std::string& title, const std::string& wrong) {
  cairo_set_source_rgb(c, 1, 1, 1);
  cairo_rectangle(c, 0, kSide, kSide, kCaption);
  cairo_fill(c);
  set(c, kText, 0.35);
  cairo_rectangle(c, 0, kSide, kSide, 1);
  cairo_fill(c);
  use_font(c, 15.0, true);
  say(c, {10, kSide + 20.0}, title, kText, false);
  double size = 13.0;
  do {
    use_font(c, size, false);
    size -= 0.5;
  } while (text_width(c, wrong) > kSide - 20.0 && size > 8.0);
  say(c, {10, kSide + 37.0}, wrong, kText, false);

  use_font(c, 11.0, false);
  double x = 10.0;
  const double y = kSide + 54.0;
  const auto key = [&](const char* text, Colour colour, double px, bool circle) {
    set(c, colour);
    cairo_set_line_width(c, px);
    if (circle) {
      cairo_new_path(c);
      cairo_arc(c, x + 9.0, y - 4.0, 5.5, 0.0, 2.0 * std::numbers::pi);
    } else {
      cairo_move_to(c, x, y - 4.0);
      cairo_line_to(c, x + 18.0, y - 4.0);
    }
    cairo_stroke(c);
    say(c, {x + 24.0, y}, text, kText, false);
    x += 24.0 + text_width(c, text) + 16.0;
  };
  key("drawn", kDrawn, 5.0, false);
  key("traced", kTraced, 1.6, false);
  key("junction", kDrawn, 1.5, true);
  key("missed", kWrong, 2.5, true);
  // A bar of one millimetre.
  const double right = kSide - 12.0;
  set(c, kText);
  cairo_set_line_width(c, 1.5);
  cairo_move_to(c, right - kScale, y - 8.0);
  cairo_line_to(c, right - kScale, y);
  cairo_line_to(c, right, y);
  cairo_line_to(c, right, y - 8.0);
  cairo_stroke(c);
  say(c, {right - kScale - 36.0, y}, "1 mm", kText, false);
}

// Eight bits with a palette: exact greys, five levels a channel for the colours.
std::string indexed_png(cairo_surface_t* surface) {
  cairo_surface_flush(surface);
  const int width = cairo_image_surface_get_width(surface);
  const int height = cairo_image_surface_get_height(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  const unsigned char* data = cairo_image_surface_get_data(surface);
  std::vector<png_color> palette;
  std::map<std::uint32_t, unsigned char> index;
  std::vector<unsigned char> pixels;
  for (int y = 0; y < height; ++y) {
    const auto* row =
        reinterpret_cast<const std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
    for (int x = 0; x < width; ++x) {
      int r = row[x] >> 16 & 0xff;
      int g = row[x] >> 8 & 0xff;
      int b = row[x] & 0xff;
      const auto coarse = [](int v) { return std::min(255, (v + 25) / 51 * 51); };
      if (std::max({r, g, b}) - std::min({r, g, b}) > 12) {
        r = coarse(r);
        g = coarse(g);
        b = coarse(b);
      } else {
        r = g = b = std::min(255, ((r + g + b) / 3 + 4) / 8 * 8);
      }
      const auto key = static_cast<std::uint32_t>(r << 16 | g << 8 | b);
      const auto known = index.find(key);
      if (known != index.end()) {
        pixels.push_back(known->second);
        continue;
      }
      const auto next = static_cast<unsigned char>(palette.size());
      palette.push_back(
          {static_cast<png_byte>(r), static_cast<png_byte>(g), static_cast<png_byte>(b)});
      index[key] = next;
      pixels.push_back(next);
    }
  }

  std::string bytes;
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png != nullptr ? png_create_info_struct(png) : nullptr;
  if (info == nullptr) throw std::runtime_error("libpng does not start");
  png_set_write_fn(
      png,
      &bytes,
      [](png_structp p, png_bytep from, png_size_t n) {
        static_cast<std::string*>(png_get_io_ptr(p))->append(reinterpret_cast<char*>(from), n);
      },
      nullptr);
  png_set_compression_level(png, 9);
  png_set_IHDR(png,
               info,
               static_cast<png_uint_32>(width),
               static_cast<png_uint_32>(height),
               8,
               PNG_COLOR_TYPE_PALETTE,
               PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT,
               PNG_FILTER_TYPE_DEFAULT);
  png_set_PLTE(png, info, palette.data(), static_cast<int>(palette.size()));
  png_write_info(png, info);
  for (int y = 0; y < height; ++y) {
    png_write_row(png, pixels.data() + static_cast<std::ptrdiff_t>(y) * width);
  }
  png_write_end(png, nullptr);
  png_destroy_write_struct(&png, &info);
  return bytes;
}

}  // namespace

std::optional<Vec2> worst_place(const PageScore& score) {
  PointGrid grid(kWorstPlaceMm);
  for (const Fault& fault : score.faults) grid.add(fault.at);
  double most = 0.0;
  std::optional<Vec2> best;
  for (const Fault& fault : score.faults) {
    double sum = 0.0;
    Vec2 middle;
    grid.near(fault.at, kWorstPlaceMm * 0.45, [&](std::size_t i, double) {
      sum += score.faults[i].weight;
      middle += score.faults[i].at * score.faults[i].weight;
    });
    if (sum <= most) continue;
    most = sum;
    best = middle / sum;
  }
  return best;
}

std::string what_is_wrong(const PageScore& score, Vec2 middle) {
  std::map<FaultKind, double> sums;
  for (const Fault& fault : score.faults) {
    if (!inside(fault.at, middle)) continue;
    const bool in_mm = fault.kind == FaultKind::kMissed || fault.kind == FaultKind::kFalseLine;
    sums[fault.kind] += in_mm ? fault.weight : 1.0;
  }
  std::string out;
  for (const auto& [kind, sum] : sums) {
    const bool in_mm = kind == FaultKind::kMissed || kind == FaultKind::kFalseLine;
    const Words words = words_of(kind);
    if (!out.empty()) out += ", ";
    out += in_mm ? fmt::format("{:.1f} {}", sum, words.many)
                 : fmt::format("{:.0f} {}", sum, sum == 1.0 ? words.one : words.many);
  }
  return out.empty() ? "nothing" : out;
}

std::string png_of_place(const Page& page,
                         const Linework& drawn,
                         const Linework& traced,
                         const PageScore& score,
                         const std::string& title,
                         Vec2 middle) {
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, kSide, kSide + kCaption));
  const Canvas canvas(cairo_create(surface.get()));
  cairo_t* c = canvas.get();
  const Vec2 corner = middle - Vec2{kWorstPlaceMm, kWorstPlaceMm} / 2.0;
  draw_scan(c, page, corner);

  cairo_save(c);
  cairo_rectangle(c, 0, 0, kSide, kSide);
  cairo_clip(c);
  cairo_scale(c, kScale, kScale);
  cairo_translate(c, -corner.x, -corner.y);
  draw_lines(c, drawn, kDrawn, 5.0, 0.16);
  draw_lines(c, traced, kTraced, 1.6, 0.07);
  draw_ends(c, traced);
  const std::vector<SampledLine> lines = sampled_lines(drawn);
  for (const Meeting& m : find_meetings(lines, LineGrid(lines)).meetings) {
    ring(c, m.at, 0.35, kDrawn, 1.5);
  }
  for (const Fault& fault : score.faults) {
    if (fault.kind == FaultKind::kJunction) ring(c, fault.at, 0.35, kWrong, 2.5);
  }
  cairo_restore(c);
  draw_faults(c, score, corner, middle);
  draw_caption(c, title, what_is_wrong(score, middle));
  return indexed_png(surface.get());
}

}  // namespace underdraw::test
