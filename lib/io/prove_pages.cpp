#include "io/prove_pages.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"
#include "core/parallel.h"
#include "io/as_printed.h"
#include "io/rendered_page.h"

namespace underdraw {
namespace {

constexpr double kMostPixels = 150e6;
constexpr unsigned kPagesAtOnce = 4;  // each takes the memory of its page

}  // namespace

void ProvePagesOptions::validate() const {
  require_between(dpi, 300.0, 1200.0, "proof resolution", "dpi");
  if (printer) printer->validate();
  limits.validate();
}

PagesProof prove_pages(std::string_view sent,
                       const std::string& file,
                       const std::vector<Drawing>& due,
                       const ProvePagesOptions& options) {
  options.validate();
  std::string print;
  if (options.printer) print = as_printed(sent, *options.printer, file);
  const std::string_view pdf = options.printer ? std::string_view(print) : sent;
  PagesProof report;
  const auto count = static_cast<std::size_t>(open_pdf(pdf, file)->pages());
  if (count != due.size()) {
    report.reasons.push_back(fmt::format("{} has {} pages, not {}", file, count, due.size()));
  }
  report.pages.resize(std::min(count, due.size()));
  parallel_for(
      report.pages.size(),
      [&](std::size_t i) {
        const PdfDocument document = open_pdf(pdf, file);
        const PdfPage page(document->create_page(static_cast<int>(i)));
        const Drawing& drawing = due[i];
        if (!page || !page_is(*page, drawing.width_mm, drawing.height_mm)) {
          report.pages[i].faults.push_back(fmt::format(
              "it is damaged or not {:.1f} x {:.1f} mm", drawing.width_mm, drawing.height_mm));
          return;
        }
        const double pixels =
            drawing.width_mm * drawing.height_mm * std::pow(options.dpi / 25.4, 2);
        const double dpi = options.dpi * std::min(1.0, std::sqrt(kMostPixels / pixels));
        const RenderedPage image = rendered_page(*page, dpi, file);
        report.pages[i] = measure_page(drawing, image.view, letters_on(*page), options.limits);
      },
      kPagesAtOnce);
  for (std::size_t i = 0; i < report.pages.size(); ++i) {
    report.largest_mm = std::max(report.largest_mm, report.pages[i].largest_mm);
    for (const std::string& fault : report.pages[i].faults) {
      report.reasons.push_back(fmt::format("{} page {}: {}", file, i + 1, fault));
    }
  }
  report.ok = report.reasons.empty();
  return report;
}

}  // namespace underdraw
