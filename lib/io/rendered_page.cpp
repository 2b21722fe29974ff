#include "io/rendered_page.h"

#include <cmath>

#include <poppler-page-renderer.h>

#include "core/error.h"
#include "io/poppler_complaints.h"

namespace underdraw {
namespace {

constexpr double kSizeSlack = 0.05;  // mm, of a page's sides

[[noreturn]] void refuse(const std::string& file,
                         const std::string& found,
                         const std::string& remedy) {
  throw InputError({.file = file, .line = {}, .found = found, .expected = {}, .remedy = remedy});
}

std::string utf8(const poppler::ustring& text) {
  const poppler::byte_array bytes = text.to_utf8();
  return {bytes.data(), bytes.size()};
}

Box box_of(const poppler::rectf& r) {
  return {Vec2{r.left(), r.top()} * kMmPerPoint, Vec2{r.right(), r.bottom()} * kMmPerPoint};
}

}  // namespace

PdfDocument open_pdf(std::string_view bytes, const std::string& file) {
  quiet_poppler();
  PdfDocument document(
      poppler::document::load_from_raw_data(bytes.data(), static_cast<int>(bytes.size())));
  if (!document) refuse(file, "is not a readable PDF", "make the sheets again");
  if (document->is_locked()) refuse(file, "is encrypted", "remove its password");
  return document;
}

RenderedPage rendered_page(const poppler::page& page, double dpi, const std::string& file) {
  poppler::page_renderer renderer;
  renderer.set_image_format(poppler::image::format_gray8);
  renderer.set_render_hint(poppler::page_renderer::antialiasing, true);
  renderer.set_render_hint(poppler::page_renderer::text_antialiasing, true);
  RenderedPage out;
  out.image = renderer.render_page(&page, dpi, dpi);
  if (!out.image.is_valid()) refuse(file, "cannot be rendered", "make the sheets again");
  out.view.pixels = reinterpret_cast<const std::uint8_t*>(out.image.const_data());
  out.view.width = out.image.width();
  out.view.height = out.image.height();
  out.view.stride = static_cast<std::size_t>(out.image.bytes_per_row());
  out.view.px_per_mm = dpi / 25.4;
  return out;
}

std::vector<PrintedWord> words_on(const poppler::page& page) {
  std::vector<PrintedWord> words;
  for (const poppler::text_box& box : page.text_list()) {
    words.push_back({utf8(box.text()), box_of(box.bbox())});
  }
  return words;
}

std::vector<PrintedWord> letters_on(const poppler::page& page) {
  std::vector<PrintedWord> letters;
  for (const poppler::text_box& box : page.text_list()) {
    const poppler::ustring text = box.text();
    for (std::size_t i = 0; i < text.size(); ++i) {
      letters.push_back({utf8(poppler::ustring(1, text[i])), box_of(box.char_bbox(i))});
    }
  }
  return letters;
}

bool page_is(const poppler::page& page, double width_mm, double height_mm) {
  const poppler::rectf media = page.page_rect(poppler::media_box);
  return page.orientation() == poppler::page::portrait &&
         std::abs(media.width() * kMmPerPoint - width_mm) < kSizeSlack &&
         std::abs(media.height() * kMmPerPoint - height_mm) < kSizeSlack;
}

}  // namespace underdraw
