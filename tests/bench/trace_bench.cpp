#include <stdexcept>
#include <string>
#include <vector>

#include <opencv2/imgproc.hpp>
#ifdef BENCH_HAS_XIMGPROC
#include <opencv2/ximgproc.hpp>
#endif

#include "bench/benches.h"
#include "bench/register_one.h"
#include "io/out_folder.h"
#include "io/read_pages.h"
#include "io/svg.h"
#include "io/trace_files.h"
#include "trace/thin.h"
#include "trace/trace_page.h"

namespace underdraw::bench {
namespace {

constexpr int kPile = 6;

void require_sketches(const TracedPage& traced, std::size_t due) {
  if (traced.sketches.size() == due) return;
  throw std::runtime_error(std::to_string(traced.sketches.size()) + " sketches found of " +
                           std::to_string(due));
}

void register_trace(const std::string& name, const std::string& file, std::size_t sketches) {
  register_one("trace_page/" + name, [page = PageFile::open(file).read(1), sketches] {
    TracedPage traced = trace_page(page);
    require_sketches(traced, sketches);
    return traced;
  });
}

// As `underdraw trace FILE --whole` does it: from the page's file to the SVG's.
void register_whole(const std::string& name, const std::string& file, const std::string& svg) {
  register_one("page_to_svg/" + name, [=] {
    const TracedPage traced = trace_page(PageFile::open(file).read(1));
    require_sketches(traced, 6);
    std::vector<SvgGroup> groups;
    for (const TracedSketch& sketch : traced.sketches) groups.push_back({"sketch", sketch.lines});
    const std::string text = svg_of_page(traced.width_mm, traced.height_mm, groups);
    write_file(svg, text, Overwrite::yes);
    return text.size();
  });
}

// Well below the paper's grey, well above graphite's.
cv::Mat threshold_of(const std::string& file) {
  cv::Mat ink;
  cv::threshold(decode_png(file), ink, 180, 1, cv::THRESH_BINARY_INV);
  cv::rectangle(ink, {0, 0}, {ink.cols - 1, ink.rows - 1}, cv::Scalar(0));
  return ink;
}

#ifdef BENCH_HAS_XIMGPROC
void register_thinning(const std::string& name, const cv::Mat& ink) {
  register_one("cv::ximgproc::thinning/" + name, [white = cv::Mat(ink * 255)] {
    cv::Mat line;
    cv::ximgproc::thinning(white, line, cv::ximgproc::THINNING_ZHANGSUEN);
    return line;
  });
}
#endif

}  // namespace

void register_tracing(const BenchFiles& files) {
  register_trace("pencil", files.pencil_page(), 6);
  register_trace("sample", files.sample_page(), 6);
  register_whole("pencil", files.pencil_page(), files.scratch("pencil.svg"));
  register_whole("white", files.white_page(), files.scratch("white.svg"));
  for (const std::string size : {"A5", "A4", "A3"}) {
    register_trace("on " + size, files.on_paper(size), 6);
  }
  for (const int count : {4, 8, 16}) {
    register_trace(std::to_string(count) + " sketches",
                   files.sketches(count),
                   static_cast<std::size_t>(count));
  }

  std::vector<PageRequest> pile;
  for (const std::string& file : files.pile(kPile))
    pile.push_back({.file = file, .page = {}, .dpi = {}});
  register_one("trace_planned/together", [=] {
    std::vector<PageOutcome> outcomes = trace_planned(plan_pages(pile));
    for (const PageOutcome& page : outcomes) require_sketches(page.traced.value().traced, 6);
    return outcomes;
  });
  register_one("trace_planned/in turn", [=] {
    std::vector<PageOutcome> outcomes;
    for (const PageRequest& page : pile) {
      outcomes.push_back(trace_planned(plan_pages({page})).at(0));
      require_sketches(outcomes.back().traced.value().traced, 6);
    }
    return outcomes;
  });

  // Thinning alone, on the same ink.
  const cv::Mat ink = threshold_of(files.sample_page());
  register_one("thin/sample", [=] { return thin(ink); });
#ifdef BENCH_HAS_XIMGPROC
  register_thinning("sample", ink);
  register_thinning("pencil", threshold_of(files.pencil_page()));
#endif
}

}  // namespace underdraw::bench
