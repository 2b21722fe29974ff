#include "scan/clear_page.h"

#include "scan/find_ruling.h"
#include "scan/lift_ruling.h"

namespace underdraw {

ClearedPage clear_page(const Page& page, const PaperLight& light) {
  const Ruling ruling = find_ruling(page, light);
  if (ruling.empty()) return {page, light};
  ClearedPage out;
  out.page = lift_ruling(page, light, ruling);
  out.light = paper_light(out.page);
  return out;
}

}  // namespace underdraw
