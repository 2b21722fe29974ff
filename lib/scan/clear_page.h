// Makes a page as if it had been drawn on blank white paper: printed lines and coloured guides go.
//
// Stage:   scan. Pure.
// In/out:  a page and its light in; both again, as they are without what was lifted. A page that
//          has nothing to lift comes back as it is, sharing its pixels.
#pragma once

#include "scan/page.h"
#include "scan/paper_light.h"

namespace underdraw {

struct ClearedPage {
  Page page;
  PaperLight light;
  bool colour_lifted = false;  // guides or stains, beside what is printed
};

ClearedPage clear_page(const Page& page, const PaperLight& light);

}  // namespace underdraw
