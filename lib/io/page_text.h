// The pages' own texts, as their page.html, page.css (behind page_base.css) and page.js stood when
// the library was built.
//
// Stage: io, internal to bench_page.cpp, overview_page.cpp and points_page.cpp.
#pragma once

#include <string_view>

namespace underdraw {

namespace bench_page_text {
extern const std::string_view kHtml, kCss, kJs;
}

namespace overview_page_text {
extern const std::string_view kHtml, kCss, kJs;
}

namespace points_page_text {
extern const std::string_view kHtml, kCss, kJs;
}

}  // namespace underdraw
