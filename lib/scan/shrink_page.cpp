#include "scan/shrink_page.h"

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

// `part` in px of the result.
void shrink_part(const cv::Mat& grey, const cv::Rect& part, int times, cv::Mat& out) {
  if (part.empty()) return;
  const cv::Rect from(part.x * times, part.y * times, part.width * times, part.height * times);
  const cv::Rect there = from & cv::Rect({0, 0}, grey.size());
  cv::Mat padded = grey(there);
  if (there != from) {
    cv::copyMakeBorder(padded,
                       padded,
                       0,
                       from.height - there.height,
                       0,
                       from.width - there.width,
                       cv::BORDER_REPLICATE | cv::BORDER_ISOLATED);
  }
  cv::Mat target = out(part);
  cv::resize(padded, target, part.size(), 0, 0, cv::INTER_AREA);
}

}  // namespace

Page shrink_page(const Page& page, int times) {
  Page out = page;
  if (times <= 1) return out;
  out.px_per_mm_x /= times;
  out.px_per_mm_y /= times;
  out.tint_shrink /= times;
  const cv::Size size((page.grey.cols + times - 1) / times, (page.grey.rows + times - 1) / times);
  out.grey = cv::Mat(size, CV_8UC1);
  const int whole_columns = page.grey.cols / times;
  const int whole_rows = page.grey.rows / times;
  // Only the strips that hold partial squares are copied to be padded: a page is large.
  shrink_part(page.grey, {0, 0, whole_columns, whole_rows}, times, out.grey);
  shrink_part(
      page.grey, {whole_columns, 0, size.width - whole_columns, whole_rows}, times, out.grey);
  shrink_part(page.grey, {0, whole_rows, size.width, size.height - whole_rows}, times, out.grey);
  return out;
}

}  // namespace underdraw
