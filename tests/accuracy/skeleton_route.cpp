#include "accuracy/skeleton_route.h"

#include <array>
#include <stdexcept>
#include <vector>

#include <opencv2/imgproc.hpp>
#ifdef ACCURACY_HAS_XIMGPROC
#include <opencv2/ximgproc.hpp>
#endif

namespace underdraw::test {

#ifdef ACCURACY_HAS_XIMGPROC

namespace {

constexpr double kSpeckMm2 = 0.04;
constexpr double kPaperReachMm = 3.0;
constexpr double kDotMm = 0.4;
constexpr double kPolylinePx = 1.0;

// 255 where there is ink.
cv::Mat ink_of(const Page& page) {
  const double px_per_mm = page.dpi() / 25.4;
  cv::Mat small;
  cv::resize(page.grey, small, {}, 0.25, 0.25, cv::INTER_AREA);
  const int reach = static_cast<int>(std::lround(2.0 * kPaperReachMm * px_per_mm / 4.0)) | 1;
  cv::Mat paper;
  cv::morphologyEx(
      small, paper, cv::MORPH_CLOSE, cv::getStructuringElement(cv::MORPH_ELLIPSE, {reach, reach}));
  cv::blur(paper, paper, {reach, reach});
  cv::resize(paper, paper, page.grey.size(), 0, 0, cv::INTER_LINEAR);
  cv::Mat even;
  cv::divide(page.grey, paper, even, 230.0);
  cv::medianBlur(even, even, 3);
  cv::Mat ink;
  cv::threshold(even, ink, 0, 255, cv::THRESH_BINARY_INV | cv::THRESH_OTSU);

  cv::Mat labels, stats, middles;
  const int count = cv::connectedComponentsWithStats(ink, labels, stats, middles, 8, CV_32S);
  std::vector<bool> speck(static_cast<std::size_t>(count), false);
  for (int i = 1; i < count; ++i) {
    speck[static_cast<std::size_t>(i)] =
        stats.at<int>(i, cv::CC_STAT_AREA) < kSpeckMm2 * px_per_mm * px_per_mm;
  }
  for (int y = 0; y < ink.rows; ++y) {
    for (int x = 0; x < ink.cols; ++x) {
      if (speck[static_cast<std::size_t>(labels.at<int>(y, x))]) ink.at<unsigned char>(y, x) = 0;
    }
  }
  // A frame of paper, so that no pixel lacks a neighbour.
  cv::rectangle(ink, {0, 0}, {ink.cols - 1, ink.rows - 1}, cv::Scalar(0));
  return ink;
}

const std::array<cv::Point, 8> kAround = {
    {{1, 0}, {0, 1}, {-1, 0}, {0, -1}, {1, 1}, {-1, 1}, {-1, -1}, {1, -1}}};

class Walker {
 public:
  Walker(cv::Mat skeleton, const cv::Mat& ink) : left_(std::move(skeleton)) {
    cv::distanceTransform(ink, half_width_, cv::DIST_L2, cv::DIST_MASK_PRECISE);
    degree_ = cv::Mat(left_.size(), CV_8U, cv::Scalar(0));
    for (int y = 1; y + 1 < left_.rows; ++y) {
      for (int x = 1; x + 1 < left_.cols; ++x) {
        if (left_.at<unsigned char>(y, x) != 0) {
          degree_.at<unsigned char>(y, x) = static_cast<unsigned char>(next_to({x, y}).size());
        }
      }
    }
  }

  Linework walk(const Page& page) {
    std::vector<cv::Point> nodes, between;
    for (int y = 1; y + 1 < left_.rows; ++y) {
      for (int x = 1; x + 1 < left_.cols; ++x) {
        if (left_.at<unsigned char>(y, x) == 0) continue;
        (degree_.at<unsigned char>(y, x) == 2 ? between : nodes).push_back({x, y});
      }
    }
    for (const cv::Point node : nodes) {
      if (degree_.at<unsigned char>(node) == 0) take({node}, page);
      for (const cv::Point step : next_to(node)) {
        const bool is_node = degree_.at<unsigned char>(step) != 2;
        if (is_node) {
          const bool once = node.y < step.y || (node.y == step.y && node.x < step.x);
          if (once) take({node, step}, page);
        } else if (left_.at<unsigned char>(step) != 0) {
          take(follow(node, step), page);
        }
      }
    }
    for (const cv::Point start : between) {  // rings
      if (left_.at<unsigned char>(start) == 0) continue;
      std::vector<cv::Point> ring = follow(start, next_to(start).front());
      left_.at<unsigned char>(start) = 0;
      take(std::move(ring), page);
    }
    return std::move(out_);
  }

 private:
  // Neighbours in the skeleton; a diagonal one counts only when no straight one leads to it.
  std::vector<cv::Point> next_to(cv::Point p) const {
    std::vector<cv::Point> out;
    const auto on = [&](cv::Point q) {
      return q.x >= 0 && q.y >= 0 && q.x < left_.cols && q.y < left_.rows &&
             (left_.at<unsigned char>(q) != 0 || degree_at(q) > 0);
    };
    for (const cv::Point step : kAround) {
      if (!on(p + step)) continue;
      const bool diagonal = step.x != 0 && step.y != 0;
      if (diagonal && (on(p + cv::Point(step.x, 0)) || on(p + cv::Point(0, step.y)))) continue;
      out.push_back(p + step);
    }
    return out;
  }
  int degree_at(cv::Point p) const { return degree_.empty() ? 0 : degree_.at<unsigned char>(p); }

  // From a node over pixels with two neighbours to the next node, or round to where it began.
  std::vector<cv::Point> follow(cv::Point from, cv::Point step) {
    std::vector<cv::Point> line{from};
    while (true) {
      line.push_back(step);
      if (degree_.at<unsigned char>(step) != 2 || step == line.front()) return line;
      left_.at<unsigned char>(step) = 0;
      const std::vector<cv::Point> around = next_to(step);
      const cv::Point before = line[line.size() - 2];
      if (around.size() != 2) return line;
      step = around[0] == before ? around[1] : around[0];
    }
  }

  void take(std::vector<cv::Point> pixels, const Page& page) {
    double half = 0.0;
    for (const cv::Point p : pixels) half += half_width_.at<float>(p);
    const double px_per_mm = page.dpi() / 25.4;
    const double width = 2.0 * half / static_cast<double>(pixels.size()) / px_per_mm;
    const auto mm = [&](cv::Point p) { return page.mm_from_px({p.x + 0.5, p.y + 0.5}); };
    const bool ring = pixels.size() > 2 && pixels.front() == pixels.back();
    const bool meets_nothing = degree_.at<unsigned char>(pixels.front()) <= 1 &&
                               degree_.at<unsigned char>(pixels.back()) <= 1;
    const double length = cv::arcLength(pixels, false) / px_per_mm;
    if (meets_nothing && length < kDotMm) {
      Stroke dot;
      dot.path.points = {(mm(pixels.front()) + mm(pixels.back())) / 2.0};
      dot.width_mm = width;
      out_.strokes.push_back(dot);
      return;
    }
    std::vector<cv::Point> corners;
    cv::approxPolyDP(pixels, corners, kPolylinePx, false);
    std::vector<Vec2> points;
    for (const cv::Point p : corners) points.push_back(mm(p));
    out_.strokes.push_back({Path::polyline(points, ring), width});
  }

  cv::Mat left_;    // pixels not yet taken
  cv::Mat degree_;  // neighbours of each pixel of the whole skeleton
  cv::Mat half_width_;
  Linework out_;
};

}  // namespace

bool has_skeleton_route() { return true; }

Linework skeleton_route(const Page& page) {
  const cv::Mat ink = ink_of(page);
  cv::Mat skeleton;
  cv::ximgproc::thinning(ink, skeleton, cv::ximgproc::THINNING_ZHANGSUEN);
  return Walker(skeleton, ink).walk(page);
}

#else

bool has_skeleton_route() { return false; }

Linework skeleton_route(const Page&) {
  throw std::logic_error("built without cv::ximgproc::thinning");
}

#endif

}  // namespace underdraw::test
