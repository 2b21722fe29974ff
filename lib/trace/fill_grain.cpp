#include "trace/fill_grain.h"

#include <cmath>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kSeedShare = 0.7;  // of ink in a square as wide as a broad mark

// Where broad marks may be, in px of the mask, with room for their edges.
std::vector<cv::Rect> places(const cv::Mat& ink, const FillGrainOptions& options) {
  const int side = std::max(3, static_cast<int>(std::lround(options.broad_mm * options.px_per_mm)));
  cv::Mat share;
  cv::boxFilter(ink, share, CV_16U, {side, side}, {-1, -1}, false, cv::BORDER_CONSTANT);
  const cv::Mat seeds = share > kSeedShare * side * side;
  cv::Mat labels, stats, centres;
  const int count = cv::connectedComponentsWithStats(seeds, labels, stats, centres, 8, CV_32S);
  std::vector<cv::Rect> out;
  for (int i = 1; i < count; ++i) {
    cv::Rect box(stats.at<int>(i, cv::CC_STAT_LEFT),
                 stats.at<int>(i, cv::CC_STAT_TOP),
                 stats.at<int>(i, cv::CC_STAT_WIDTH),
                 stats.at<int>(i, cv::CC_STAT_HEIGHT));
    box -= cv::Point(2 * side, 2 * side);
    box += cv::Size(4 * side, 4 * side);
    out.push_back(box & cv::Rect({0, 0}, ink.size()));
  }
  return out;
}

cv::Mat disc(double radius_px) {
  const int r = std::max(1, static_cast<int>(std::lround(radius_px)));
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1});
}

// Pixels closer than `px` to paper are taken, or pixels closer than that to ink are added.
cv::Mat shrunk(const cv::Mat& ink, double px) {
  cv::Mat far;
  cv::distanceTransform(ink, far, cv::DIST_L2, cv::DIST_MASK_5);
  return far > px;
}

// Fills in one window; the share of holes is judged mark by mark.
bool fill(cv::Mat ink, cv::Mat smooth, const FillGrainOptions& options) {
  const double px = options.px_per_mm;
  cv::Mat closed;
  cv::morphologyEx(ink, closed, cv::MORPH_CLOSE, disc(options.pinhole_mm * px / 2.0));
  const double radius = options.broad_mm * px / 2.0;
  const cv::Mat core = shrunk(closed, radius);
  if (cv::countNonZero(core) == 0) return false;  // nothing broad
  const cv::Mat broad = ~shrunk(~core, radius) & (closed != 0);
  cv::Mat marks, mark_stats, centres;
  const int mark_count =
      cv::connectedComponentsWithStats(broad, marks, mark_stats, centres, 8, CV_32S);
  cv::Mat holes, hole_stats;
  const cv::Mat open = broad & (ink == 0);
  const int hole_count =
      cv::connectedComponentsWithStats(open, holes, hole_stats, centres, 4, CV_32S);
  if (hole_count < 2) return false;

  // Only what ink shuts in is a hole: a dent in the edge, or the wedge between two lines, is not.
  std::vector<double> hole_px(static_cast<std::size_t>(mark_count), 0.0);
  std::vector<bool> shut(static_cast<std::size_t>(hole_count), true);
  for (int y = 0; y < open.rows; ++y) {
    const uchar* o = open.ptr<uchar>(y);
    const int* m = marks.ptr<int>(y);
    const int* h = holes.ptr<int>(y);
    for (int x = 0; x < open.cols; ++x) {
      if (!o[x]) continue;
      hole_px[static_cast<std::size_t>(m[x])] += 1.0;
      const auto leads_out = [&](int px_x, int px_y) {
        return px_x < 0 || px_y < 0 || px_x >= open.cols || px_y >= open.rows ||
               (!broad.at<uchar>(px_y, px_x) && !ink.at<uchar>(px_y, px_x));
      };
      if (leads_out(x - 1, y) || leads_out(x + 1, y) || leads_out(x, y - 1) ||
          leads_out(x, y + 1)) {
        shut[static_cast<std::size_t>(h[x])] = false;
      }
    }
  }
  const auto is_grainy = [&](int mark) {
    const double area = mark_stats.at<int>(mark, cv::CC_STAT_AREA);
    const double hole_area = hole_px[static_cast<std::size_t>(mark)];
    return area >= options.least_mark_mm2 * px * px && hole_area > 0.0 &&
           hole_area <= options.most_holes * area;
  };
  // Where a line's middle is looked for, its pinholes are as dark as what is round them.
  cv::Mat even;
  cv::morphologyEx(smooth, even, cv::MORPH_CLOSE, disc(options.pinhole_mm * px));
  bool changed = false;
  for (int y = 0; y < open.rows; ++y) {
    const int* h = holes.ptr<int>(y);
    const int* m = marks.ptr<int>(y);
    const float* e = even.ptr<float>(y);
    uchar* to = ink.ptr<uchar>(y);
    float* dark = smooth.ptr<float>(y);
    for (int x = 0; x < open.cols; ++x) {
      if (m[x] == 0 || !is_grainy(m[x])) continue;
      const bool hole = h[x] != 0;
      if (hole && (!shut[static_cast<std::size_t>(h[x])] ||
                   hole_stats.at<int>(h[x], cv::CC_STAT_AREA) > options.largest_mm2 * px * px)) {
        continue;
      }
      if (hole) to[x] = 1;
      changed = changed || hole;
      dark[x] = e[x];
    }
  }
  return changed;
}

}  // namespace

bool fill_grain(InkMask& mask, const FillGrainOptions& options) {
  bool changed = false;
  const cv::Rect inside(1, 1, mask.ink.cols - 2, mask.ink.rows - 2);
  for (const cv::Rect& place : places(mask.ink, options)) {
    if (fill(mask.ink(place & inside), mask.smooth(place & inside), options)) changed = true;
  }
  return changed;
}

}  // namespace underdraw
