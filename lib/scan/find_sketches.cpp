#include "scan/find_sketches.h"

#include <algorithm>
#include <numeric>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

struct Found {
  int label;
  cv::Rect box;  // coarse px
};

// The scanner's dark lid or the table beside the paper: a thick dark strip along the image's edge.
bool is_edge_strip(const cv::Mat& ink_labels, const cv::Mat& stats, int label, double px_per_mm) {
  const int left = stats.at<int>(label, cv::CC_STAT_LEFT);
  const int top = stats.at<int>(label, cv::CC_STAT_TOP);
  const int width = stats.at<int>(label, cv::CC_STAT_WIDTH);
  const int height = stats.at<int>(label, cv::CC_STAT_HEIGHT);
  const bool touches =
      left == 0 || top == 0 || left + width == ink_labels.cols || top + height == ink_labels.rows;
  if (!touches) return false;
  const int longer = std::max(width, height);
  const int shorter = std::max(1, std::min(width, height));
  return longer > 20.0 * px_per_mm && longer > 6 * shorter;
}

// Rows are found by overlap in height: a sketch joins the row in which its middle lies.
std::vector<Found> in_reading_order(std::vector<Found> found) {
  std::sort(found.begin(), found.end(), [](const Found& a, const Found& b) {
    return a.box.y + a.box.height / 2 < b.box.y + b.box.height / 2;
  });
  std::vector<Found> ordered;
  std::size_t i = 0;
  while (i < found.size()) {
    std::size_t end = i + 1;
    int bottom = found[i].box.br().y;
    while (end < found.size() && found[end].box.y + found[end].box.height / 2 < bottom &&
           found[end].box.y < found[i].box.y + found[i].box.height / 2) {
      ++end;
    }
    std::sort(found.begin() + static_cast<std::ptrdiff_t>(i),
              found.begin() + static_cast<std::ptrdiff_t>(end),
              [](const Found& a, const Found& b) { return a.box.x < b.box.x; });
    ordered.insert(ordered.end(),
                   found.begin() + static_cast<std::ptrdiff_t>(i),
                   found.begin() + static_cast<std::ptrdiff_t>(end));
    i = end;
  }
  return ordered;
}

}  // namespace

SketchRegions find_sketches(const Page& page,
                            const PaperLight& light,
                            const FindSketchesOptions& options) {
  SketchRegions out;
  const double px_per_mm = page.dpi() / 25.4 / light.shrink;  // coarse
  const double threshold = std::max(options.lightest, 5.0 * light.noise);
  cv::Mat limit;
  light.light.convertTo(limit, CV_8U, 1.0 - threshold);
  cv::Mat ink;
  cv::compare(light.grey, limit, ink, cv::CMP_LT);

  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  const int count = cv::connectedComponentsWithStats(ink, labels, stats, centres, 8, CV_32S);
  // Specks smaller than the finest dot of a pen, and the lid's edge, tie nothing together.
  const double speck_px = 0.12 * px_per_mm * px_per_mm;
  std::vector<uchar> keep(static_cast<std::size_t>(count), 0);
  double ink_px = 0.0;
  for (int i = 1; i < count; ++i) {
    const int area = stats.at<int>(i, cv::CC_STAT_AREA);
    ink_px += area;
    keep[static_cast<std::size_t>(i)] =
        area >= speck_px && !is_edge_strip(labels, stats, i, px_per_mm) ? 255 : 0;
  }
  out.ink_share = ink_px / static_cast<double>(ink.total());
  cv::Mat empty(ink.size(), CV_8U);
  for (int y = 0; y < ink.rows; ++y) {
    const int* label = labels.ptr<int>(y);
    uchar* to = empty.ptr<uchar>(y);
    for (int x = 0; x < ink.cols; ++x) to[x] = keep[static_cast<std::size_t>(label[x])] ? 0 : 255;
  }

  cv::Mat far;
  cv::distanceTransform(empty, far, cv::DIST_L2, 5);
  cv::Mat near = far <= options.apart_mm * px_per_mm / 2.0;
  const int groups = cv::connectedComponents(near, out.labels, 8, CV_32S);

  std::vector<cv::Rect> boxes(static_cast<std::size_t>(groups));
  for (int y = 0; y < empty.rows; ++y) {
    const uchar* white = empty.ptr<uchar>(y);
    const int* label = out.labels.ptr<int>(y);
    for (int x = 0; x < empty.cols; ++x) {
      if (!white[x]) boxes[static_cast<std::size_t>(label[x])] |= cv::Rect(x, y, 1, 1);
    }
  }
  std::vector<Found> found;
  for (int i = 1; i < groups; ++i) {
    const cv::Rect& box = boxes[static_cast<std::size_t>(i)];
    if (std::max(box.width, box.height) >= options.smallest_mm * px_per_mm) {
      found.push_back({i, box});
    }
  }
  found = in_reading_order(std::move(found));

  std::vector<int> renumbered(static_cast<std::size_t>(groups), 0);
  const cv::Rect whole(0, 0, page.grey.cols, page.grey.rows);
  for (std::size_t i = 0; i < found.size(); ++i) {
    renumbered[static_cast<std::size_t>(found[i].label)] = static_cast<int>(i) + 1;
    const cv::Rect& b = found[i].box;
    const int s = light.shrink;
    out.boxes.push_back(cv::Rect(b.x * s, b.y * s, b.width * s, b.height * s) & whole);
  }
  for (int y = 0; y < out.labels.rows; ++y) {
    int* label = out.labels.ptr<int>(y);
    for (int x = 0; x < out.labels.cols; ++x) {
      label[x] = renumbered[static_cast<std::size_t>(label[x])];
    }
  }
  return out;
}

}  // namespace underdraw
