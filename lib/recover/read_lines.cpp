#include "recover/read_lines.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "recover/find_ridges.h"
#include "trace/follow_strokes.h"
#include "trace/ink_mask.h"
#include "trace/median.h"
#include "trace/take_dots.h"
#include "trace/thin.h"
#include "trace/value_at.h"

namespace underdraw {
namespace {

constexpr double kCoatMm = 4.5;       // across the window whose median is the coat
constexpr float kTrusted = 0.02f;     // less was hardly seen
constexpr double kPastSeamMm = 6.0;   // read on both sides of the seam, so that lines go through
constexpr double kJoinMm = 0.8;       // ends at the seam this close are one line
constexpr double kTracePenMm = 0.42;  // the pen that the trace stage's sizes are meant for
constexpr double kRidgeOfLine = 0.3;  // blur that shows a line best, one sigma over its width
constexpr double kOddWidth = 3.0;     // times wider or narrower than the pen is no line

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

// A line cut at both sides of the seam becomes one again.
void join_at_seam(std::vector<SeenLine>& lines, const Surface& surface) {
  struct End {
    std::size_t line;
    bool first;
    FacePoint at;
  };
  const auto ends_near = [&](double across) {
    std::vector<End> out;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      for (const bool first : {true, false}) {
        const FacePoint p = first ? lines[i].points.front() : lines[i].points.back();
        const double k = surface.mm_per_across(std::clamp(p.along, 0.0, surface.along_mm()));
        if (std::abs(p.across - across) * k < 0.3) out.push_back({i, first, p});
      }
    }
    return out;
  };
  const std::vector<End> left = ends_near(0.0);
  std::vector<char> taken(lines.size() * 2, 0);
  std::vector<std::size_t> became(lines.size());
  std::iota(became.begin(), became.end(), std::size_t{0});
  for (const End& b : ends_near(360.0)) {
    const End* best = nullptr;
    double nearest = kJoinMm;
    for (const End& a : left) {
      if (taken[2 * a.line + (a.first ? 0 : 1)]) continue;
      const double off = length(surface.way(b.at, a.at));
      if (off >= nearest) continue;
      nearest = off;
      best = &a;
    }
    const std::size_t into = became[b.line];
    if (!best || became[best->line] == into) continue;
    taken[2 * best->line + (best->first ? 0 : 1)] = 1;
    std::vector<FacePoint>& to = lines[into].points;
    std::vector<FacePoint> more = std::move(lines[became[best->line]].points);
    if (to.empty() || more.empty()) continue;
    if (length(surface.way(to.back(), b.at)) > 0.01) std::reverse(to.begin(), to.end());
    if (length(surface.way(more.front(), best->at)) > 0.01) std::reverse(more.begin(), more.end());
    const double turns = 360.0 * std::round((to.back().across - more.front().across) / 360.0);
    for (FacePoint p : more) to.push_back({p.across + turns, p.along});
    const std::size_t gone = became[best->line];
    for (std::size_t& b2 : became) {
      if (b2 == gone) b2 = into;
    }
    lines[gone].points.clear();
  }
  std::erase_if(lines, [](const SeenLine& line) { return line.points.empty(); });
}

double line_length(const SeenLine& line, const Surface& surface) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < line.points.size(); ++i) {
    sum += length(surface.way(line.points[i], line.points[i + 1]));
  }
  return sum;
}

}  // namespace

void ReadLinesOptions::validate() const {
  require_between(line_mm, 0.1, 5.0, "width of the drawn lines", "mm");
  require_between(least_depth, 0.02, 0.9, "least darkness of lines", "");
  require_between(least_mm, 0.2, 50.0, "shortest line", "mm");
}

SeenLines read_lines(const Unrolled& face,
                     const Surface& surface,
                     const ReadLinesOptions& options) {
  options.validate();
  const double px_per_mm = face.px_per_along;
  const int past =
      face.round ? std::min(face.light.cols - 1, static_cast<int>(kPastSeamMm * px_per_mm)) : 0;
  const auto widened = [&](const cv::Mat& from) {
    cv::Mat to;
    const int border = face.round ? cv::BORDER_WRAP : cv::BORDER_REPLICATE;
    cv::copyMakeBorder(from, to, 2, 2, past + 2, past + 2, border);
    return to;
  };
  const cv::Mat seen = widened(face.trust) > kTrusted;
  const cv::Mat light = filled(widened(face.light), seen);
  cv::Mat depth = depth_below_coat(light, px_per_mm);
  cv::Mat inner;
  const int edge = 2 * static_cast<int>(std::lround(0.3 * px_per_mm)) + 1;
  cv::erode(seen, inner, cv::getStructuringElement(cv::MORPH_RECT, {edge, edge}));
  depth.setTo(0.0f, inner == 0);

  SeenLines out;
  out.noise = noise_of(depth, inner);
  const Vec2 corner{past + 2.0, 2.0};
  const auto face_point = [&](Vec2 px) { return face.face_from_px(px - corner); };
  const double wide = face.light.cols;
  const auto once = [&](Vec2 px) { return px.x >= corner.x && px.x - corner.x < wide; };
  for (const Ridge& ridge :
       find_ridges(depth,
                   inner,
                   {.sigma_px = std::max(0.8, kRidgeOfLine * options.line_mm * px_per_mm),
                   .least = 0.12 * options.least_depth})) {
    if (!once(ridge.at)) continue;
    const FacePoint at = face_point(ridge.at);
    const double px_per_right =
        face.px_per_across /
        std::max(1e-6, surface.mm_per_across(std::clamp(at.along, 0.0, surface.along_mm())));
    out.points.push_back(
        {at, normalized(Vec2{ridge.along.x / px_per_right, ridge.along.y / px_per_mm})});
  }
  // The trace stage knows pens on paper. Lines here are as wide as its pens in this measure.
  const double steer = px_per_mm * options.line_mm / kTracePenMm;
  InkMask ink = find_ink(depth,
                         {.px_per_mm = steer,
                          .noise = out.noise,
                          .lightest = std::max(options.least_depth, 3.0 * out.noise)});
  for (const InkDot& dot : take_dots(ink, {.px_per_mm = steer})) {
    if (!once(dot.at)) continue;
    const FacePoint at = face_point(dot.at);
    out.dots.push_back({at, dot.width / px_per_mm, value_at(ink.smooth, dot.at)});
  }
  const Thinned thinned = thin(ink.ink);
  for (const StrokeLine& line : follow_strokes(make_stroke_graph(thinned), ink.smooth, steer)) {
    const double width = line.width / px_per_mm;
    if (width > kOddWidth * options.line_mm || width * kOddWidth < options.line_mm) continue;
    std::vector<Vec2> points = line.points;
    if (line.closed) points.push_back(points.front());
    SeenLine run;
    std::vector<double> depths;
    const auto end_run = [&] {
      run.width_mm = width;
      run.depth = median(std::move(depths));
      depths.clear();
      if (run.points.size() > 1) out.lines.push_back(std::move(run));
      run = {};
    };
    for (const Vec2 p : points) {
      if (!once(p)) {
        end_run();
        continue;
      }
      run.points.push_back(face_point(p));
      depths.push_back(value_at(ink.smooth, p));
    }
    end_run();
  }
  if (face.round) join_at_seam(out.lines, surface);
  std::erase_if(out.lines, [&](const SeenLine& line) {
    return line_length(line, surface) < options.least_mm;
  });
  return out;
}

}  // namespace underdraw
