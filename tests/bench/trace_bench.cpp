#include <stdexcept>

#include <opencv2/imgproc.hpp>
#ifdef BENCH_HAS_XIMGPROC
#include <opencv2/ximgproc.hpp>
#endif

#include "bench/benches.h"
#include "bench/register_one.h"
#include "io/read_pages.h"
#include "trace/thin.h"
#include "trace/trace_page.h"

namespace underdraw::bench {
namespace {

// The page's lines, its fold and its loose marks do not change their count with the resolution.
constexpr std::size_t kSketches = 6;

void register_trace(const std::string& name, const std::string& file) {
  register_one("trace_page/" + name, [page = PageFile::open(file).read(1)] {
    TracedPage traced = trace_page(page);
    if (traced.sketches.size() != kSketches) throw std::runtime_error("not six sketches found");
    return traced;
  });
}

}  // namespace

void register_tracing(const BenchFiles& files) {
  register_trace("pencil", files.pencil_page());
  register_trace("white", files.white_page());
  register_trace("sample", files.sample_page());

  // Thinning alone, on the same ink: well below the paper's grey, well above graphite's.
  cv::Mat ink;
  cv::threshold(decode_png(files.sample_page()), ink, 180, 1, cv::THRESH_BINARY_INV);
  cv::rectangle(ink, {0, 0}, {ink.cols - 1, ink.rows - 1}, cv::Scalar(0));
  register_one("thin/sample", [=] { return thin(ink); });
#ifdef BENCH_HAS_XIMGPROC
  register_one("cv::ximgproc::thinning/sample", [white = cv::Mat(ink * 255)] {
    cv::Mat line;
    cv::ximgproc::thinning(white, line, cv::ximgproc::THINNING_ZHANGSUEN);
    return line;
  });
#endif
}

}  // namespace underdraw::bench
