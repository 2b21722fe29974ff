#include "scan/clear_page.h"

#include <utility>

#include "scan/find_ruling.h"
#include "scan/lift_colour.h"
#include "scan/lift_ruling.h"

namespace underdraw {

ClearedPage clear_page(const Page& page, const PaperLight& light) {
  const Ruling ruling = find_ruling(page, light);
  ClearedPage out{page, light};
  // Colour tells print from pencil where they cross; what it leaves of the print, place tells.
  if (std::optional<Page> lifted = lift_colour(page, light, ruling)) {
    out.page = std::move(*lifted);
    out.colour_lifted = true;
  }
  if (!ruling.empty()) out.page = lift_ruling(out.page, light, ruling);
  if (out.colour_lifted || !ruling.empty()) out.light = paper_light(out.page);
  return out;
}

}  // namespace underdraw
