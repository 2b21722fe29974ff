#include "scan/find_sketches.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

struct Found {
  int label;
  cv::Rect box;  // coarse px
};

// The scanner's dark lid or the table beside the paper: thick ink along the image's edge for longer
// than any line is that runs off the page.
cv::Mat find_lid(const cv::Mat& ink, double px_per_mm) {
  const int thick = std::max(3, static_cast<int>(std::lround(1.5 * px_per_mm)));
  cv::Mat bordered;  // beyond the image the lid goes on
  cv::copyMakeBorder(ink, bordered, thick, thick, thick, thick, cv::BORDER_REPLICATE);
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {thick, thick});
  cv::morphologyEx(bordered, bordered, cv::MORPH_OPEN, square);
  cv::Mat labels;
  const int count = cv::connectedComponents(
      bordered(cv::Rect(thick, thick, ink.cols, ink.rows)), labels, 8, CV_32S);
  std::vector<int> contact(static_cast<std::size_t>(count), 0);
  for (int x = 0; x < ink.cols; ++x) {
    ++contact[static_cast<std::size_t>(labels.at<int>(0, x))];
    ++contact[static_cast<std::size_t>(labels.at<int>(ink.rows - 1, x))];
  }
  for (int y = 0; y < ink.rows; ++y) {
    ++contact[static_cast<std::size_t>(labels.at<int>(y, 0))];
    ++contact[static_cast<std::size_t>(labels.at<int>(y, ink.cols - 1))];
  }
  cv::Mat lid = cv::Mat::zeros(ink.size(), CV_8U);
  for (int i = 1; i < count; ++i) {
    if (contact[static_cast<std::size_t>(i)] > 15.0 * px_per_mm) lid.setTo(255, labels == i);
  }
  cv::dilate(lid, lid, square);  // its blurred edge too
  return lid;
}

// White space between two boxes.
double gap(const cv::Rect& a, const cv::Rect& b) {
  const int dx = std::max({0, a.x - b.br().x, b.x - a.br().x});
  const int dy = std::max({0, a.y - b.br().y, b.y - a.br().y});
  return std::hypot(dx, dy);
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
  out.ink_share = static_cast<double>(cv::countNonZero(ink)) / static_cast<double>(ink.total());
  const cv::Mat lid = find_lid(ink, px_per_mm);
  ink.setTo(0, lid);

  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  const int count = cv::connectedComponentsWithStats(ink, labels, stats, centres, 8, CV_32S);
  // Specks smaller than the finest dot of a pen tie nothing together.
  const double speck_px = 0.12 * px_per_mm * px_per_mm;
  std::vector<uchar> keep(static_cast<std::size_t>(count), 0);
  for (int i = 1; i < count; ++i) {
    keep[static_cast<std::size_t>(i)] = stats.at<int>(i, cv::CC_STAT_AREA) >= speck_px ? 1 : 0;
  }
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
  out.labels.setTo(0, lid);

  std::vector<cv::Rect> boxes(static_cast<std::size_t>(groups));
  for (int y = 0; y < empty.rows; ++y) {
    const uchar* white = empty.ptr<uchar>(y);
    const int* label = out.labels.ptr<int>(y);
    for (int x = 0; x < empty.cols; ++x) {
      if (!white[x]) boxes[static_cast<std::size_t>(label[x])] |= cv::Rect(x, y, 1, 1);
    }
  }
  std::vector<Found> found;
  std::vector<Found> marks;
  for (int i = 1; i < groups; ++i) {
    const cv::Rect& box = boxes[static_cast<std::size_t>(i)];
    if (box.empty()) continue;
    const bool large = std::max(box.width, box.height) >= options.smallest_mm * px_per_mm;
    (large ? found : marks).push_back({i, box});
  }
  found = in_reading_order(std::move(found));

  std::vector<int> renumbered(static_cast<std::size_t>(groups), 0);
  for (std::size_t i = 0; i < found.size(); ++i) {
    renumbered[static_cast<std::size_t>(found[i].label)] = static_cast<int>(i) + 1;
  }
  out.sketch_count = found.size();
  std::vector<Found> loose;
  for (const Found& mark : marks) {
    double nearest = options.belongs_mm * px_per_mm;
    std::size_t owner = found.size();
    for (std::size_t i = 0; i < out.sketch_count; ++i) {
      if (const double d = gap(mark.box, found[i].box); d <= nearest) {
        nearest = d;
        owner = i;
      }
    }
    if (owner < found.size()) {
      renumbered[static_cast<std::size_t>(mark.label)] = static_cast<int>(owner) + 1;
      boxes[static_cast<std::size_t>(found[owner].label)] |= mark.box;
    } else {
      loose.push_back(mark);
      renumbered[static_cast<std::size_t>(mark.label)] =
          static_cast<int>(found.size() + loose.size());
    }
  }
  found.insert(found.end(), loose.begin(), loose.end());
  const cv::Rect whole(0, 0, page.grey.cols, page.grey.rows);
  for (const Found& f : found) {
    const cv::Rect& b = boxes[static_cast<std::size_t>(f.label)];
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
