#include "io/cairo_canvas.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <cairo-ft.h>
#include <fmt/format.h>
#include <fontconfig/fontconfig.h>
#include <zlib.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr const char* kFamily = "Open Sans";
constexpr const char* kFontPackage = "fonts-open-sans";

template <auto destroy>
using Deleter = CairoDeleter<destroy>;
using FontFace = std::unique_ptr<cairo_font_face_t, Deleter<cairo_font_face_destroy>>;
using Pattern = std::unique_ptr<FcPattern, Deleter<FcPatternDestroy>>;
using CharSet = std::unique_ptr<FcCharSet, Deleter<FcCharSetDestroy>>;

[[noreturn]] void refuse(const std::string& found, const std::string& remedy) {
  throw OutputError({.file = {}, .line = {}, .found = found, .expected = {}, .remedy = remedy});
}

struct Letters {
  std::string text;
  std::vector<FcChar32> letters;
};

Letters letters_of(const std::string& text) {
  Letters out;
  for (std::size_t at = 0; at < text.size();) {
    FcChar32 letter = 0;
    const int used = FcUtf8ToUcs4(reinterpret_cast<const FcChar8*>(text.data() + at),
                                  &letter,
                                  static_cast<int>(text.size() - at));
    if (used <= 0 || letter < 0x20 || (letter >= 0xD800 && letter < 0xE000) || letter > 0x10FFFF) {
      out.text += '?';
      out.letters.push_back('?');
      ++at;
      continue;
    }
    out.text.append(text, at, static_cast<std::size_t>(used));
    out.letters.push_back(letter);
    at += static_cast<std::size_t>(used);
  }
  return out;
}

Pattern best_match(bool bold, const FcCharSet* letters) {
  Pattern wanted(FcPatternCreate());
  FcPatternAddString(wanted.get(), FC_FAMILY, reinterpret_cast<const FcChar8*>(kFamily));
  FcPatternAddInteger(wanted.get(), FC_WEIGHT, bold ? FC_WEIGHT_DEMIBOLD : FC_WEIGHT_REGULAR);
  FcPatternAddInteger(wanted.get(), FC_SLANT, FC_SLANT_ROMAN);
  FcPatternAddInteger(wanted.get(), FC_WIDTH, FC_WIDTH_NORMAL);
  if (letters != nullptr) FcPatternAddCharSet(wanted.get(), FC_CHARSET, letters);
  FcConfigSubstitute(nullptr, wanted.get(), FcMatchPattern);
  FcDefaultSubstitute(wanted.get());
  FcResult result = FcResultMatch;
  Pattern match(FcFontMatch(nullptr, wanted.get(), &result));
  if (!match) refuse("no font is installed", fmt::format("apt-get install {}", kFontPackage));
  return match;
}

// Faces by weight; other fonts step in only for letters that the house font lacks.
class Fonts {
 public:
  Fonts() {
    for (const bool bold : {false, true}) {
      Pattern match = best_match(bold, nullptr);
      FcChar8* family = nullptr;
      FcPatternGetString(match.get(), FC_FAMILY, 0, &family);
      const std::string found = family ? reinterpret_cast<const char*>(family) : "";
      if (found != kFamily) {
        refuse(fmt::format("the font {} is not installed ({} was offered)", kFamily, found),
               fmt::format("apt-get install {}", kFontPackage));
      }
      face_[bold].reset(cairo_ft_font_face_create_for_pattern(match.get()));
      pattern_[bold] = std::move(match);
    }
  }

  FontFace face_for(const std::vector<FcChar32>& letters, bool bold) const {
    FcCharSet* has = nullptr;
    FcPatternGetCharSet(pattern_[bold].get(), FC_CHARSET, 0, &has);
    const auto missing = [&](FcChar32 c) { return has == nullptr || !FcCharSetHasChar(has, c); };
    if (std::none_of(letters.begin(), letters.end(), missing)) {
      return FontFace(cairo_font_face_reference(face_[bold].get()));
    }
    const CharSet wanted(FcCharSetCreate());
    for (const FcChar32 c : letters) FcCharSetAddChar(wanted.get(), c);
    // Without a family of ours: the best that covers the letters.
    Pattern query(FcPatternCreate());
    FcPatternAddCharSet(query.get(), FC_CHARSET, wanted.get());
    FcPatternAddString(query.get(), FC_FAMILY, reinterpret_cast<const FcChar8*>("sans-serif"));
    FcPatternAddInteger(query.get(), FC_WEIGHT, bold ? FC_WEIGHT_BOLD : FC_WEIGHT_REGULAR);
    FcConfigSubstitute(nullptr, query.get(), FcMatchPattern);
    FcDefaultSubstitute(query.get());
    FcResult result = FcResultMatch;
    const Pattern match(FcFontMatch(nullptr, query.get(), &result));
    if (!match) return FontFace(cairo_font_face_reference(face_[bold].get()));
    return FontFace(cairo_ft_font_face_create_for_pattern(match.get()));
  }

 private:
  FontFace face_[2];
  Pattern pattern_[2];
};

const Fonts& fonts() {
  static const Fonts all;
  return all;
}

// As Path::polyline makes it.
bool is_straight(const Cubic& c) {
  constexpr double kSlack = 1e-9;
  return distance(c.p1, mix(c.p0, c.p3, 1.0 / 3.0)) < kSlack &&
         distance(c.p2, mix(c.p0, c.p3, 2.0 / 3.0)) < kSlack;
}

std::vector<Path> paths_of(const cairo_path_t& drawn, double scale) {
  std::vector<Path> out;
  for (int i = 0; i < drawn.num_data; i += drawn.data[i].header.length) {
    const auto point = [&](int k) {
      return Vec2{drawn.data[i + k].point.x, drawn.data[i + k].point.y} * scale;
    };
    switch (drawn.data[i].header.type) {
      case CAIRO_PATH_MOVE_TO:
        out.push_back({{point(1)}, false});
        break;
      case CAIRO_PATH_LINE_TO: {
        const Vec2 from = out.back().points.back(), to = point(1);
        out.back().append({from, mix(from, to, 1.0 / 3.0), mix(from, to, 2.0 / 3.0), to});
        break;
      }
      case CAIRO_PATH_CURVE_TO:
        out.back().append({out.back().points.back(), point(1), point(2), point(3)});
        break;
      case CAIRO_PATH_CLOSE_PATH:
        out.back().closed = true;
        break;
    }
  }
  std::erase_if(out, [](const Path& path) { return path.is_dot(); });
  return out;
}

// Signature, and IHDR with its length, name and check sum.
constexpr std::size_t kAfterIhdr = 8 + 12 + 13;

std::string resolution_chunk(double dpi) {
  std::string out;
  const auto add = [&](std::uint32_t number) {
    for (int shift = 24; shift >= 0; shift -= 8) out += static_cast<char>(number >> shift & 0xFF);
  };
  const auto per_metre = static_cast<std::uint32_t>(std::lround(dpi / 0.0254));
  add(9);
  out += "pHYs";
  add(per_metre);
  add(per_metre);
  out += '\1';  // per metre
  const auto* checked = reinterpret_cast<const Bytef*>(out.data() + 4);
  add(static_cast<std::uint32_t>(crc32(0, checked, static_cast<uInt>(out.size() - 4))));
  return out;
}

}  // namespace

void require_success(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS) {
    refuse(fmt::format("drawing failed: {}", cairo_status_to_string(status)), {});
  }
}

std::string readable(const std::string& text) { return letters_of(text).text; }

void set_font(cairo_t* context, const std::string& readable_text, double height, bool bold) {
  const FontFace face = fonts().face_for(letters_of(readable_text).letters, bold);
  cairo_set_font_face(context, face.get());
  cairo_set_font_size(context, height);
  // Letters at their true widths, not fitted to any pixel grid.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_set_font_options(context, options);
  cairo_font_options_destroy(options);
}

double advance(cairo_t* context, const std::string& readable_text) {
  cairo_text_extents_t extents;
  cairo_text_extents(context, readable_text.c_str(), &extents);
  return extents.x_advance;
}

std::vector<Letter> letters_of_line(const std::string& text, bool bold) {
  constexpr double kLarge = 1000.0;  // so that neither FreeType's nor Cairo's grid shows
  const CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
  const CairoContext context(cairo_create(surface.get()));
  const std::string line = readable(text);
  set_font(context.get(), line, kLarge, bold);
  cairo_glyph_t* glyphs = nullptr;
  int count = 0;
  require_success(cairo_scaled_font_text_to_glyphs(cairo_get_scaled_font(context.get()),
                                                   0.0,
                                                   0.0,
                                                   line.c_str(),
                                                   static_cast<int>(line.size()),
                                                   &glyphs,
                                                   &count,
                                                   nullptr,
                                                   nullptr,
                                                   nullptr));
  std::vector<Letter> out;
  for (int i = 0; i < count; ++i) {
    cairo_glyph_t glyph = glyphs[i];
    cairo_text_extents_t extents;
    cairo_glyph_extents(context.get(), &glyph, 1, &extents);
    Letter letter;
    letter.at = glyph.x / kLarge;
    letter.end = (glyph.x + extents.x_advance) / kLarge;
    glyph.x = glyph.y = 0.0;
    cairo_new_path(context.get());
    cairo_glyph_path(context.get(), &glyph, 1);
    const std::unique_ptr<cairo_path_t, Deleter<cairo_path_destroy>> path(
        cairo_copy_path(context.get()));
    require_success(path->status);
    letter.outline = paths_of(*path, 1.0 / kLarge);
    out.push_back(std::move(letter));
  }
  cairo_glyph_free(glyphs);
  require_success(cairo_status(context.get()));
  return out;
}

void add_path(cairo_t* context, const Path& path) {
  if (path.points.empty()) return;
  const Vec2 start = path.points.front();
  cairo_move_to(context, start.x, start.y);
  if (path.is_dot()) cairo_line_to(context, start.x, start.y);
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    if (is_straight(c)) {  // a third of the bytes
      cairo_line_to(context, c.p3.x, c.p3.y);
    } else {
      cairo_curve_to(context, c.p1.x, c.p1.y, c.p2.x, c.p2.y, c.p3.x, c.p3.y);
    }
  }
  if (path.closed && !path.is_dot()) cairo_close_path(context);
}

cairo_status_t append_to_string(void* sink, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(sink)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

std::string png_of_surface(cairo_surface_t* surface, std::optional<double> dpi) {
  std::string bytes;
  require_success(cairo_surface_write_to_png_stream(surface, append_to_string, &bytes));
  if (dpi) bytes.insert(kAfterIhdr, resolution_chunk(*dpi));
  return bytes;
}

}  // namespace underdraw
