// out/index.html: what a run made, to look at in a browser and to print.
//
// Stage:   io. Text comes back.
// In/out:  one HTML file that opens from the disk and shows the files beside it; nothing comes from
//          any network. Its own text is lib/io/overview_page/page.{html,css}, embedded when the
//          library is built; what is put into it is escaped.
// Source:  HTML Living Standard (WHATWG); contrast after WCAG 2.1, 1.4.3.
#pragma once

#include <string>
#include <vector>

#include "io/make_piece.h"

namespace underdraw {

// `files`: the names of all that was made, as they stand in out/.
std::string overview_page(const PieceResult& made, const std::vector<std::string>& files);

}  // namespace underdraw
