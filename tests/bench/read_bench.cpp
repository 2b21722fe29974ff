#ifdef BENCH_HAS_IMGCODECS
#include <opencv2/imgcodecs.hpp>
#endif

#include "bench/benches.h"
#include "bench/register_one.h"
#include "io/read_pages.h"

namespace underdraw::bench {

void register_reading(const BenchFiles& files) {
  const std::string pencil = files.pencil_page();
  register_one("decode_png/pencil", [=] { return decode_png(pencil); });
  register_one("decode_png/white", [file = files.white_page()] { return decode_png(file); });
  register_one("decode_png/sample", [file = files.sample_page()] { return decode_png(file); });
  register_one("PageFile::read/pencil", [=] { return PageFile::open(pencil).read(1); });
#ifdef BENCH_HAS_IMGCODECS
  register_one("cv::imread/pencil", [=] { return cv::imread(pencil, cv::IMREAD_GRAYSCALE); });
#endif
}

}  // namespace underdraw::bench
