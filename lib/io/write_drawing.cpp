#include "io/write_drawing.h"

#include <cmath>
#include <map>
#include <memory>

#include <cairo-pdf.h>
#include <cairo.h>
#include <fmt/format.h>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFEFStreamObjectHelper.hh>
#include <qpdf/QPDFEmbeddedFileDocumentHelper.hh>
#include <qpdf/QPDFFileSpecObjectHelper.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "core/error.h"
#include "io/cairo_canvas.h"

namespace underdraw {
namespace {

constexpr double kPointsPerMm = 72.0 / 25.4;

[[noreturn]] void refuse(const std::string& found, const std::string& remedy) {
  throw OutputError({.file = {}, .line = {}, .found = found, .expected = {}, .remedy = remedy});
}

void paint(cairo_t* context, const PathMark& mark) {
  cairo_new_path(context);
  for (const Path& path : mark.paths) add_path(context, path);
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

void transform(cairo_t* context, const Affine& m) {
  const cairo_matrix_t matrix = {m.xx, m.yx, m.xy, m.yy, m.tx, m.ty};
  cairo_transform(context, &matrix);
}

// Paints in mm; the caller has scaled the context.
class Painter {
 public:
  enum class Shared { repeated, recorded };

  // Recorded: shared marks are kept as drawings of their own, which a PDF holds once (form
  // XObjects, ISO 32000-1, 8.10).
  Painter(cairo_t* context, Shared shared) : context_(context), shared_(shared) {}

  void paint(const Drawing& drawing) {
    for (const Mark& mark : drawing.marks) {
      std::visit([&](const auto& m) { add(m); }, mark);
    }
  }

 private:
  void add(const PathMark& mark) { underdraw::paint(context_, mark); }

  void add(const SharedMark& mark) {
    cairo_save(context_);
    transform(context_, mark.page_from_marks);
    if (shared_ == Shared::recorded) {
      cairo_scale(context_, 1.0 / kPointsPerMm, 1.0 / kPointsPerMm);
      cairo_set_source_surface(context_, recorded(mark.marks), 0.0, 0.0);
      cairo_paint(context_);
    } else {
      for (const PathMark& each : *mark.marks) underdraw::paint(context_, each);
    }
    cairo_restore(context_);
  }

  void add(const TextMark& mark) {
    if (mark.text.empty()) return;
    const std::string line = readable(mark.text);
    cairo_save(context_);
    cairo_translate(context_, mark.at.x, mark.at.y);
    cairo_rotate(context_, radians(mark.turn_deg));
    set_font(context_, line, mark.height_mm, mark.bold);
    const double width = advance(context_, line);
    const double start = mark.align == Align::left     ? 0.0
                         : mark.align == Align::centre ? -width / 2.0
                                                       : -width;
    const double g = mark.colour.lightness;
    cairo_set_source_rgb(context_, g, g, g);
    cairo_move_to(context_, start, 0.0);
    cairo_show_text(context_, line.c_str());
    cairo_restore(context_);
  }

  using Marks = std::shared_ptr<const std::vector<PathMark>>;

  // In points, because Cairo keeps coordinates as whole 1/256 of its unit.
  cairo_surface_t* recorded(const Marks& marks) {
    CairoSurface& surface = recorded_[marks];
    if (surface) return surface.get();
    Box box;
    for (const PathMark& mark : *marks) {
      for (const Path& path : mark.paths) box.add(path.box().grown(mark.line_width_mm));
    }
    box = box.grown(1.0);
    const cairo_rectangle_t extents = {box.min.x * kPointsPerMm,
                                       box.min.y * kPointsPerMm,
                                       box.width() * kPointsPerMm,
                                       box.height() * kPointsPerMm};
    surface.reset(cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &extents));
    require_success(cairo_surface_status(surface.get()));
    const CairoContext context(cairo_create(surface.get()));
    cairo_scale(context.get(), kPointsPerMm, kPointsPerMm);
    for (const PathMark& mark : *marks) underdraw::paint(context.get(), mark);
    require_success(cairo_status(context.get()));
    return surface.get();
  }

  cairo_t* context_;
  Shared shared_;
  std::map<Marks, CairoSurface> recorded_;
};

std::string cairo_pdf(const std::vector<Drawing>& pages, const PdfOptions& options) {
  std::string bytes;
  const CairoSurface surface(
      cairo_pdf_surface_create_for_stream(append_to_string,
                                          &bytes,
                                          pages.front().width_mm * kPointsPerMm,
                                          pages.front().height_mm * kPointsPerMm));
  require_success(cairo_surface_status(surface.get()));
  cairo_pdf_surface_set_metadata(
      surface.get(), CAIRO_PDF_METADATA_TITLE, readable(options.title).c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "underdraw");
  if (options.created) {
    cairo_pdf_surface_set_metadata(
        surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, options.created->c_str());
  }
  {
    const CairoContext context(cairo_create(surface.get()));
    Painter painter(context.get(), Painter::Shared::recorded);
    for (const Drawing& page : pages) {
      cairo_pdf_surface_set_size(
          surface.get(), page.width_mm * kPointsPerMm, page.height_mm * kPointsPerMm);
      cairo_save(context.get());
      cairo_scale(context.get(), kPointsPerMm, kPointsPerMm);
      if (options.printer) {
        transform(context.get(),
                  printed_from_sent(*options.printer, {page.width_mm, page.height_mm}).inverse());
      }
      painter.paint(page);
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
  pdf.setSuppressWarnings(true);  // Cairo 1.16 names a shared drawing once for each time it is used
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
  // Cairo makes every shared drawing a transparency group. Ours are opaque, and printers do not
  // have to be asked whether they can do that.
  for (QPDFObjectHandle& object : pdf.getAllObjects()) {
    if (!object.isStream()) continue;
    QPDFObjectHandle dictionary = object.getDict();
    if (dictionary.getKey("/Subtype").isNameAndEquals("/Form")) dictionary.removeKey("/Group");
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

std::string png_of_drawing(const Drawing& drawing, double dpi) {
  require_between(dpi, kLeastPngDpi, kMostPngDpi, "preview resolution", "dpi");
  const double scale = dpi / 25.4;
  const double width = std::ceil(drawing.width_mm * scale - 1e-6);
  const double height = std::ceil(drawing.height_mm * scale - 1e-6);
  require_between(width * height / 1e6, 1e-6, 200.0, "preview size", "megapixels");
  const CairoSurface surface(cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, static_cast<int>(width), static_cast<int>(height)));
  require_success(cairo_surface_status(surface.get()));
  const CairoContext context(cairo_create(surface.get()));
  cairo_set_source_rgb(context.get(), 1.0, 1.0, 1.0);
  cairo_paint(context.get());
  cairo_scale(context.get(), scale, scale);
  Painter(context.get(), Painter::Shared::repeated).paint(drawing);
  require_success(cairo_status(context.get()));
  return png_of_surface(surface.get(), dpi);
}

double measured_text_width_mm(const std::string& text, double height_mm, bool bold) {
  const CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
  const CairoContext context(cairo_create(surface.get()));
  const std::string line = readable(text);
  // At a large size, so that FreeType's 1/64 px does not show.
  set_font(context.get(), line, 1000.0, bold);
  return advance(context.get(), line) * height_mm / 1000.0;
}

}  // namespace underdraw
