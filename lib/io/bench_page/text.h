// The bench page's own text, as it stood in page.html, page.css and page.js at build time.
//
// Stage: io, internal to bench_page.cpp.
#pragma once

#include <string_view>

namespace underdraw::bench_page_text {

extern const std::string_view kHtml;
extern const std::string_view kCss;
extern const std::string_view kJs;

}  // namespace underdraw::bench_page_text
