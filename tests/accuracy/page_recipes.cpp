#include "accuracy/accuracy_page.h"
#include "sketch.h"
#include "sketches.h"
#include "support/pencil_page.h"

namespace underdraw::test {
namespace {

AccuracyPage draw_scallop_ink() {
  AccuracyPage page;
  page.name = "scallop-ink-300";
  page.about = "a scallop in ink";
  page.clean = true;
  PencilOptions options;
  options.page_width_mm = 120.0;
  options.page_height_mm = 90.0;
  const Linework lines = harbour::draw_scallop();
  const PencilPage drawn = draw_pencil_page(
      transformed(lines, Affine::translate(Vec2{60, 45} - lines.ink_box().centre())), options);
  page.pixels = drawn.grey;
  page.truth = drawn.truth;
  return page;
}

}  // namespace

std::vector<PageRecipe> accuracy_pages() { return {{"scallop-ink-300", draw_scallop_ink}}; }

}  // namespace underdraw::test
