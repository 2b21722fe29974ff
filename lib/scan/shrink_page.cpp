#include "scan/shrink_page.h"

#include <opencv2/imgproc.hpp>

namespace underdraw {

Page shrink_page(const Page& page, int times) {
  Page out = page;
  if (times <= 1) return out;
  out.px_per_mm_x /= times;
  out.px_per_mm_y /= times;
  out.tint_shrink /= times;
  const cv::Size size((page.grey.cols + times - 1) / times, (page.grey.rows + times - 1) / times);
  cv::Mat padded = page.grey;
  const int right = size.width * times - page.grey.cols;
  const int below = size.height * times - page.grey.rows;
  if (right > 0 || below > 0) {
    cv::copyMakeBorder(page.grey, padded, 0, below, 0, right, cv::BORDER_REPLICATE);
  }
  out.grey = cv::Mat();
  cv::resize(padded, out.grey, size, 0, 0, cv::INTER_AREA);
  return out;
}

}  // namespace underdraw
