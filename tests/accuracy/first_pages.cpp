#include "accuracy/first_pages.h"

#include "sketches.h"
#include "support/pencil_page.h"

namespace underdraw::test {
namespace {

constexpr Vec2 kMiddles[] = {{42, 66}, {106, 69}, {170, 63}, {40, 152}, {104, 150}, {168, 153}};

AccuracyPage draw(const std::string& name, const PencilOptions& options, bool faint) {
  Linework all;
  const auto sketches = harbour::all_sketches();
  for (std::size_t i = 0; i < sketches.size(); ++i) {
    const Vec2 middle = sketches[i].lines.ink_box().centre();
    all.append(transformed(sketches[i].lines, Affine::translate(kMiddles[i] - middle)));
  }
  PencilPage page = draw_pencil_page(all, options);
  return {name, name, page.grey, options.dpi, 0, faint, false, std::move(page.truth)};
}

}  // namespace

std::vector<PageRecipe> accuracy_pages() {
  PencilOptions plain;
  plain.skew_deg = 1.5;
  PencilOptions faint = plain;
  faint.seed = 2;
  faint.darkness = 0.3;
  PencilOptions rough = plain;
  rough.seed = 3;
  rough.grain = 0.95;
  rough.noise = 3.0;
  return {{"harbour", [=] { return draw("harbour", plain, false); }},
          {"harbour-faint", [=] { return draw("harbour-faint", faint, true); }},
          {"harbour-rough", [=] { return draw("harbour-rough", rough, false); }}};
}

Page page_as_read(const AccuracyPage& page) {
  return {page.pixels, page.dpi / 25.4, page.dpi / 25.4, page.name, 1};
}

}  // namespace underdraw::test
