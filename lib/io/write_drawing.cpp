#include "io/write_drawing.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <regex>

#include <cairo-ft.h>
#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
#include <fmt/format.h>
#include <fontconfig/fontconfig.h>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFEFStreamObjectHelper.hh>
#include <qpdf/QPDFEmbeddedFileDocumentHelper.hh>
#include <qpdf/QPDFFileSpecObjectHelper.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr double kPointsPerMm = 72.0 / 25.4;
constexpr const char* kFamily = "Open Sans";
constexpr const char* kFontPackage = "fonts-open-sans";

template <auto destroy>
struct Deleter {
  template <typename T>
  void operator()(T* p) const {
    destroy(p);
  }
};
using Surface = std::unique_ptr<cairo_surface_t, Deleter<cairo_surface_destroy>>;
using Context = std::unique_ptr<cairo_t, Deleter<cairo_destroy>>;
using FontFace = std::unique_ptr<cairo_font_face_t, Deleter<cairo_font_face_destroy>>;
using Pattern = std::unique_ptr<FcPattern, Deleter<FcPatternDestroy>>;
using CharSet = std::unique_ptr<FcCharSet, Deleter<FcCharSetDestroy>>;

[[noreturn]] void refuse(const std::string& found, const std::string& remedy) {
  throw OutputError({.file = {}, .line = {}, .found = found, .expected = {}, .remedy = remedy});
}

void require_success(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS) {
    refuse(fmt::format("drawing failed: {}", cairo_status_to_string(status)), {});
  }
}

// The text with damaged UTF-8 replaced by question marks, and its letters. File names may hold
// any bytes.
struct Letters {
  std::string text;
  std::vector<FcChar32> letters;
};

Letters readable(const std::string& text) {
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

void set_font(cairo_t* context, const Letters& line, double height_mm, bool bold) {
  const FontFace face = fonts().face_for(line.letters, bold);
  cairo_set_font_face(context, face.get());
  cairo_set_font_size(context, height_mm);
  // Letters at their true widths, not fitted to any pixel grid.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_set_font_options(context, options);
  cairo_font_options_destroy(options);
}

double advance_mm(cairo_t* context, const std::string& text) {
  cairo_text_extents_t extents;
  cairo_text_extents(context, text.c_str(), &extents);
  return extents.x_advance;
}

void trace_path(cairo_t* context, const Path& path) {
  if (path.points.empty()) return;
  const Vec2 start = path.points.front();
  cairo_move_to(context, start.x, start.y);
  if (path.is_dot()) cairo_line_to(context, start.x, start.y);  // round caps make it a dot
  for (std::size_t i = 0; i < path.piece_count(); ++i) {
    const Cubic c = path.piece(i);
    cairo_curve_to(context, c.p1.x, c.p1.y, c.p2.x, c.p2.y, c.p3.x, c.p3.y);
  }
  if (path.closed && !path.is_dot()) cairo_close_path(context);
}

void paint(cairo_t* context, const PathMark& mark) {
  cairo_new_path(context);
  for (const Path& path : mark.paths) trace_path(context, path);
  if (mark.filled) {
    const double g = mark.fill.lightness;
    cairo_set_source_rgb(context, g, g, g);
    cairo_set_fill_rule(context, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_fill_preserve(context);
  }
  if (mark.line_width_mm > 0.0) {
    const double g = mark.line.lightness;
    cairo_set_source_rgb(context, g, g, g);
    cairo_set_line_width(context, mark.line_width_mm);
    cairo_set_line_cap(context, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(context, CAIRO_LINE_JOIN_ROUND);
    if (!mark.dashes_mm.empty()) cairo_set_line_cap(context, CAIRO_LINE_CAP_BUTT);
    cairo_set_dash(context, mark.dashes_mm.data(), static_cast<int>(mark.dashes_mm.size()), 0.0);
    cairo_stroke_preserve(context);
  }
  cairo_new_path(context);
}

void paint(cairo_t* context, const TextMark& mark) {
  if (mark.text.empty()) return;
  const Letters line = readable(mark.text);
  cairo_save(context);
  cairo_translate(context, mark.at.x, mark.at.y);
  cairo_rotate(context, radians(mark.turn_deg));
  set_font(context, line, mark.height_mm, mark.bold);
  const double width = advance_mm(context, line.text);
  const double start = mark.align == Align::left     ? 0.0
                       : mark.align == Align::centre ? -width / 2.0
                                                     : -width;
  const double g = mark.colour.lightness;
  cairo_set_source_rgb(context, g, g, g);
  cairo_move_to(context, start, 0.0);
  cairo_show_text(context, line.text.c_str());
  cairo_restore(context);
}

// In mm; the caller has scaled the context.
void paint(cairo_t* context, const Drawing& drawing) {
  for (const Mark& mark : drawing.marks) {
    std::visit([&](const auto& m) { paint(context, m); }, mark);
  }
}

cairo_status_t append(void* sink, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(sink)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

std::string cairo_pdf(const std::vector<Drawing>& pages, const PdfOptions& options) {
  std::string bytes;
  const Surface surface(
      cairo_pdf_surface_create_for_stream(append,
                                          &bytes,
                                          pages.front().width_mm * kPointsPerMm,
                                          pages.front().height_mm * kPointsPerMm));
  require_success(cairo_surface_status(surface.get()));
  cairo_pdf_surface_set_metadata(
      surface.get(), CAIRO_PDF_METADATA_TITLE, readable(options.title).text.c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "underdraw");
  if (options.created) {
    cairo_pdf_surface_set_metadata(
        surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, options.created->c_str());
  }
  {
    const Context context(cairo_create(surface.get()));
    for (const Drawing& page : pages) {
      cairo_pdf_surface_set_size(
          surface.get(), page.width_mm * kPointsPerMm, page.height_mm * kPointsPerMm);
      cairo_save(context.get());
      cairo_scale(context.get(), kPointsPerMm, kPointsPerMm);
      paint(context.get(), page);
      cairo_restore(context.get());
      cairo_show_page(context.get());
    }
    require_success(cairo_status(context.get()));
  }
  cairo_surface_finish(surface.get());
  require_success(cairo_surface_status(surface.get()));
  return bytes;
}

// Viewer preferences, TrimBox and attachments, which Cairo cannot write.
std::string completed(const std::string& bytes, const PdfOptions& options) {
  QPDF pdf;
  pdf.processMemoryFile("drawing", bytes.data(), bytes.size());
  auto preferences = QPDFObjectHandle::newDictionary();
  preferences.replaceKey("/PrintScaling", QPDFObjectHandle::newName("/None"));
  preferences.replaceKey(
      "/Enforce",
      QPDFObjectHandle::newArray(std::vector{QPDFObjectHandle::newName("/PrintScaling")}));
  preferences.replaceKey("/PickTrayByPDFSize", QPDFObjectHandle::newBool(true));
  preferences.replaceKey("/DisplayDocTitle", QPDFObjectHandle::newBool(!options.title.empty()));
  pdf.getRoot().replaceKey("/ViewerPreferences", preferences);
  for (QPDFPageObjectHelper& page : QPDFPageDocumentHelper(pdf).getAllPages()) {
    QPDFObjectHandle object = page.getObjectHandle();
    object.replaceKey("/TrimBox", object.getKey("/MediaBox"));
  }
  QPDFObjectHandle info = pdf.getTrailer().getKey("/Info");
  if (!options.created) {
    info.removeKey("/CreationDate");
  } else {
    // Cairo 1.16 leaves out the prefix that ISO 32000-1, 7.9.4 asks for.
    const std::string date = info.getKey("/CreationDate").getStringValue();
    if (date.rfind("D:", 0) != 0) {
      info.replaceKey("/CreationDate", QPDFObjectHandle::newString("D:" + date));
    }
  }
  QPDFEmbeddedFileDocumentHelper files(pdf);
  for (const Attachment& attachment : options.attachments) {
    auto stream = QPDFEFStreamObjectHelper::createEFStream(pdf, attachment.content);
    stream.setSubtype(attachment.mime);
    auto spec = QPDFFileSpecObjectHelper::createFileSpec(pdf, attachment.name, stream);
    files.replaceEmbeddedFile(attachment.name, spec);
  }
  QPDFWriter writer(pdf);
  writer.setOutputMemory();
  writer.setMinimumPDFVersion("1.7");
  writer.setDeterministicID(true);
  writer.write();
  const auto buffer = writer.getBufferSharedPointer();
  return {reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize()};
}

}  // namespace

std::string pdf_of_drawings(const std::vector<Drawing>& pages, const PdfOptions& options) {
  if (pages.empty()) refuse("there is no page to write", {});
  for (const Drawing& page : pages) {
    require_between(page.width_mm, 1.0, 5000.0, "page width", "mm");
    require_between(page.height_mm, 1.0, 5000.0, "page height", "mm");
  }
  const std::string bytes = cairo_pdf(pages, options);
  try {
    return completed(bytes, options);
  } catch (const std::exception& e) {
    refuse(fmt::format("the PDF could not be completed: {}", e.what()), {});
  }
}

std::string svg_of_drawing(const Drawing& drawing) {
  std::string bytes;
  {
    const Surface surface(
        cairo_svg_surface_create_for_stream(append, &bytes, drawing.width_mm, drawing.height_mm));
    require_success(cairo_surface_status(surface.get()));
    cairo_svg_surface_set_document_unit(surface.get(), CAIRO_SVG_UNIT_MM);
    const Context context(cairo_create(surface.get()));
    paint(context.get(), drawing);
    require_success(cairo_status(context.get()));
    cairo_surface_finish(surface.get());
  }
  // Cairo counts its surfaces and writes the count; nothing refers to it.
  static const std::regex counted("id=\"surface[0-9]+\"");
  return std::regex_replace(bytes, counted, "id=\"page\"");
}

std::string png_of_drawing(const Drawing& drawing, double dpi) {
  require_between(dpi, 20.0, 1200.0, "preview resolution", "dpi");
  const double scale = dpi / 25.4;
  const double width = std::ceil(drawing.width_mm * scale - 1e-6);
  const double height = std::ceil(drawing.height_mm * scale - 1e-6);
  require_between(width * height / 1e6, 1e-6, 200.0, "preview size", "megapixels");
  const Surface surface(cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, static_cast<int>(width), static_cast<int>(height)));
  require_success(cairo_surface_status(surface.get()));
  const Context context(cairo_create(surface.get()));
  cairo_set_source_rgb(context.get(), 1.0, 1.0, 1.0);
  cairo_paint(context.get());
  cairo_scale(context.get(), scale, scale);
  paint(context.get(), drawing);
  require_success(cairo_status(context.get()));
  std::string bytes;
  require_success(cairo_surface_write_to_png_stream(surface.get(), append, &bytes));
  return bytes;
}

double measured_text_width_mm(const std::string& text, double height_mm, bool bold) {
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
  const Context context(cairo_create(surface.get()));
  const Letters line = readable(text);
  // At a large size, so that FreeType's 1/64 px does not show.
  set_font(context.get(), line, 1000.0, bold);
  return advance_mm(context.get(), line.text) * height_mm / 1000.0;
}

}  // namespace underdraw
