#include "recover/picture_lines.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "trace/follow_strokes.h"
#include "trace/ink_mask.h"
#include "trace/median.h"
#include "trace/take_dots.h"
#include "trace/thin.h"
#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kCoatMm = 4.5;       // across the window whose median is the coat
constexpr double kTracePenMm = 0.42;  // the pen that the trace stage's sizes are meant for
constexpr double kRidgeOfLine = 0.3;  // blur that shows a line best, one sigma over its width

// What was not seen looks like the coat beside it, so that its edge is no line.
cv::Mat filled(const cv::Mat& light, const cv::Mat& trusted) {
  cv::Mat weight;
  trusted.convertTo(weight, CV_32F, 1.0 / 255.0);
  cv::Mat sum = light.mul(weight);
  const int reach = 41;
  cv::Mat weights;
  cv::blur(sum, sum, {reach, reach});
  cv::blur(weight, weights, {reach, reach});
  const cv::Scalar usual = cv::mean(light, trusted);
  cv::Mat mean(light.size(), CV_32F, usual);
  cv::divide(sum, weights + 1e-6, mean);
  mean.setTo(usual, weights < 1e-3);
  light.copyTo(mean, trusted);
  return mean;
}

// 1 - light / coat.
cv::Mat depth_below_coat(const cv::Mat& light, double px_per_mm) {
  const double shrink = std::max(1.0, px_per_mm / 2.5);
  cv::Mat small;
  cv::resize(light, small, {}, 1.0 / shrink, 1.0 / shrink, cv::INTER_AREA);
  double most = 0.0;
  cv::minMaxLoc(small, nullptr, &most);
  const double levels = 250.0 / std::max(most, 1e-6);
  small.convertTo(small, CV_8U, levels);
  const int window = 2 * static_cast<int>(kCoatMm * px_per_mm / shrink / 2.0) + 1;
  cv::medianBlur(small, small, std::max(3, window));
  small.convertTo(small, CV_32F, 1.0 / levels);
  cv::GaussianBlur(small, small, {0, 0}, 1.5);
  cv::Mat coat;
  cv::resize(small, coat, light.size(), 0, 0, cv::INTER_LINEAR);
  cv::Mat depth;
  cv::divide(light, cv::max(coat, 1e-3), depth);
  return 1.0 - depth;
}

// Spread of the coat between lines, which are the small share of it that is darkest.
double noise_of(const cv::Mat& depth, const cv::Mat& trusted) {
  std::vector<double> sizes;
  for (int y = 0; y < depth.rows; y += 3) {
    for (int x = 0; x < depth.cols; x += 3) {
      if (trusted.at<uchar>(y, x)) sizes.push_back(std::abs(depth.at<float>(y, x)));
    }
  }
  return 1.4826 * median(std::move(sizes));
}

}  // namespace

PictureLines read_picture_lines(const cv::Mat& light,
                                const cv::Mat& seen,
                                const PictureLinesOptions& options) {
  const double px_per_mm = options.px_per_mm;
  cv::Mat depth = depth_below_coat(filled(light, seen), px_per_mm);
  cv::Mat inner;
  const int edge = 2 * static_cast<int>(std::lround(options.edge_mm * px_per_mm)) + 1;
  cv::erode(seen, inner, cv::getStructuringElement(cv::MORPH_RECT, {edge, edge}));
  depth.setTo(0.0f, inner == 0);

  PictureLines out;
  out.noise = noise_of(depth, inner);
  out.ridges = find_ridges(depth,
                           inner,
                           {.sigma_px = std::max(0.8, kRidgeOfLine * options.line_mm * px_per_mm),
                            .least = 0.12 * options.least_depth});
  // The trace stage knows pens on paper. Lines here are as wide as its pens in this measure.
  const double steer = px_per_mm * options.line_mm / kTracePenMm;
  InkMask ink = find_ink(depth,
                         {.px_per_mm = steer,
                          .noise = out.noise,
                          .lightest = std::max(options.least_depth, 3.0 * out.noise)});
  for (const InkDot& dot : take_dots(ink, {.px_per_mm = steer})) {
    out.dots.push_back({dot.at, dot.width, value_at(ink.smooth, dot.at)});
  }
  const double pen_px = options.line_mm * px_per_mm;
  const Thinned thinned = thin(ink.ink);
  for (const StrokeLine& line : follow_strokes(make_stroke_graph(thinned), ink.smooth, steer)) {
    if (line.width > options.odd_width * pen_px || line.width * options.odd_width < pen_px)
      continue;
    PictureLine run{line.points, {}, line.width};
    if (line.closed) run.px.push_back(run.px.front());
    for (const Vec2 p : run.px) run.depth.push_back(value_at(ink.smooth, p));
    out.lines.push_back(std::move(run));
  }
  return out;
}

}  // namespace underdraw
