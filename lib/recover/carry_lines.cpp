#include "recover/carry_lines.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "recover/picture_lines.h"

namespace underdraw {
namespace {

constexpr double kLineMm = 0.6;        // what lines count as wide, so that the rest has a scale
constexpr double kUsualLine = 0.0022;  // of the longer side: 0.6 mm on a hand's breadth of piece
constexpr double kOtherWidth = 1.25;   // times wider or narrower: read again
constexpr double kAnyWidth = 12.0;     // see PictureLinesOptions::odd_width
constexpr double kOddWidth = 3.0;
constexpr double kReadPx = 6.0;  // wide, in the picture that is read
constexpr int kReadings = 3;
constexpr double kShortestLine = 2.5;   // line widths
constexpr double kAlongsideLine = 1.5;  // line widths: nearer is the same line
constexpr double kFlagsLine = 3.0;      // line widths over which what is covered is evened

// Light as it fell on the sensor, IEC 61966-2-1 undone.
cv::Mat light_of(const cv::Mat& bgr, double px_from_photo) {
  cv::Mat grey;
  cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
  const int how = px_from_photo < 1.0 ? cv::INTER_AREA : cv::INTER_CUBIC;
  cv::resize(grey, grey, {}, px_from_photo, px_from_photo, how);
  std::array<float, 256> tones;
  for (std::size_t i = 0; i < tones.size(); ++i) {
    const double v = static_cast<double>(i) / 255.0;
    tones[i] = static_cast<float>(v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4));
  }
  cv::Mat out;
  cv::LUT(grey, cv::Mat(1, 256, CV_32F, tones.data()), out);
  return out;
}

cv::Mat trusted_pixels(const ViewMap& map, cv::Size size, double px_from_photo) {
  cv::Mat out(size, CV_8UC1);
  parallel_for(static_cast<std::size_t>(size.height), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    for (int x = 0; x < size.width; ++x) {
      out.at<uchar>(y, x) = map.trusts(Vec2{x + 0.5, y + 0.5} / px_from_photo) ? 255 : 0;
    }
  });
  return out;
}

PictureLines read_at(const cv::Mat& light,
                     const cv::Mat& seen,
                     double line_px,
                     double least_depth,
                     double odd_width) {
  return read_picture_lines(light,
                            seen,
                            {.px_per_mm = line_px / kLineMm,
                             .line_mm = kLineMm,
                             .least_depth = least_depth,
                             .odd_width = odd_width,
                             .edge_mm = 0.0});
}

// Half of the lines' length is wider, half is narrower.
double usual_width(const PictureLines& lines) {
  std::vector<const PictureLine*> by_width;
  double all = 0.0;
  for (const PictureLine& line : lines.lines) {
    by_width.push_back(&line);
    all += static_cast<double>(line.px.size());
  }
  std::sort(by_width.begin(), by_width.end(), [](const auto* a, const auto* b) {
    return a->width_px < b->width_px;
  });
  double sum = 0.0;
  for (const PictureLine* line : by_width) {
    sum += static_cast<double>(line->px.size());
    if (sum >= all / 2.0) return line->width_px;
  }
  return 0.0;
}

// Nothing is known of the width: guessed, and what is found by that guess tells better.
double width_of_lines(const cv::Mat& light, const cv::Mat& seen, double least_depth) {
  double line_px = std::max(1.5, kUsualLine * std::max(light.cols, light.rows));
  for (int i = 0; i < kReadings; ++i) {
    const double width = usual_width(read_at(light, seen, line_px, least_depth, kAnyWidth));
    if (width <= 0.0) break;
    const double times = std::max(width / line_px, line_px / width);
    line_px = std::max(1.5, width);
    if (times < kOtherWidth) break;
  }
  return line_px;
}

// How far each pixel is from the nearest line.
cv::Mat away_from(const PictureLines& lines, cv::Size size) {
  cv::Mat none(size, CV_8UC1, cv::Scalar(255));
  const auto mark = [&](Vec2 p) {
    const int x = static_cast<int>(p.x);
    const int y = static_cast<int>(p.y);
    if (x >= 0 && y >= 0 && x < size.width && y < size.height) none.at<uchar>(y, x) = 0;
  };
  for (const PictureLine& line : lines.lines) std::for_each(line.px.begin(), line.px.end(), mark);
  for (const PictureDot& dot : lines.dots) mark(dot.px);
  cv::Mat out;
  cv::distanceTransform(none, out, cv::DIST_L2, 3);
  return out;
}

// What most of the points round about are.
std::vector<bool> evened(const std::vector<bool>& flags, std::size_t reach) {
  std::vector<std::ptrdiff_t> before(flags.size() + 1, 0);
  for (std::size_t i = 0; i < flags.size(); ++i) before[i + 1] = before[i] + (flags[i] ? 1 : 0);
  std::vector<bool> out(flags.size());
  for (std::size_t i = 0; i < flags.size(); ++i) {
    const std::size_t from = i > reach ? i - reach : 0;
    const std::size_t to = std::min(flags.size(), i + reach + 1);
    out[i] = 2 * (before[to] - before[from]) > static_cast<std::ptrdiff_t>(to - from);
  }
  return out;
}

}  // namespace

void CarryLinesOptions::validate() const {
  require_between(longest_px, 500, 8000, "longer side of photos that are read", "px");
  require_between(least_depth, 0.02, 0.9, "least darkness of lines", "");
  require_between(unsure_px, 0.0, 500.0, "error of the map", "px");
}

CarriedLines carry_lines(const cv::Mat& before,
                         const cv::Mat& after,
                         const ViewMap& map,
                         const CarryLinesOptions& options) {
  options.validate();
  const auto at_most = [&](const cv::Mat& photo, double scale) {
    return std::min(scale,
                    static_cast<double>(options.longest_px) / std::max(photo.cols, photo.rows));
  };
  CarriedLines out;
  {
    const double small = at_most(before, 1.0);
    const cv::Mat light = light_of(before, small);
    out.line_px =
        width_of_lines(light, trusted_pixels(map, light.size(), small), options.least_depth) /
        small;
  }
  // Lines are read best where they are some px wide, those of small photos too.
  const double small_before = at_most(before, kReadPx / out.line_px);
  const double small_after = at_most(after, kReadPx / out.line_px);
  const cv::Mat light = light_of(before, small_before);
  const double read_px = out.line_px * small_before;
  const PictureLines reading = read_at(light,
                                       trusted_pixels(map, light.size(), small_before),
                                       read_px,
                                       options.least_depth,
                                       kOddWidth);

  const cv::Mat light_after = light_of(after, small_after);
  const cv::Mat away = away_from(read_at(light_after,
                                         cv::Mat(light_after.size(), CV_8UC1, cv::Scalar(255)),
                                         out.line_px * small_after,
                                         options.least_depth,
                                         kOddWidth),
                                 light_after.size());
  const double alongside = std::max(kAlongsideLine * out.line_px, options.unsure_px) * small_after;
  const auto is_covered = [&](Vec2 px_after) {
    const Vec2 p = px_after * small_after;
    const int x = std::clamp(static_cast<int>(p.x), 0, away.cols - 1);
    const int y = std::clamp(static_cast<int>(p.y), 0, away.rows - 1);
    return static_cast<double>(away.at<float>(y, x)) > alongside;
  };

  const auto reach = static_cast<std::size_t>(kFlagsLine * read_px);
  CarriedLine run;
  double length_px = 0.0;
  const auto end_run = [&] {
    if (length_px >= kShortestLine * read_px) {
      run.covered = evened(run.covered, reach);
      out.lines.push_back(std::move(run));
    }
    run = {};
    length_px = 0.0;
  };
  for (const PictureLine& line : reading.lines) {
    for (std::size_t i = 0; i < line.px.size(); ++i) {
      const Vec2 photo = line.px[i] / small_before;
      if (!map.trusts(photo)) {
        end_run();
        continue;
      }
      if (!run.px.empty()) length_px += distance(line.px[i - 1], line.px[i]);
      run.px.push_back(map.after_from_before(photo));
      run.covered.push_back(is_covered(run.px.back()));
    }
    end_run();
  }
  for (const PictureDot& dot : reading.dots) {
    const Vec2 photo = dot.px / small_before;
    if (!map.trusts(photo)) continue;
    const Vec2 px = map.after_from_before(photo);
    out.lines.push_back({{px}, {is_covered(px)}});
  }
  return out;
}

std::vector<PhotoLine> photo_lines(const std::vector<CarriedLine>& lines) {
  std::vector<PhotoLine> out;
  for (const CarriedLine& line : lines) {
    PhotoLine run;
    for (std::size_t i = 0; i < line.px.size(); ++i) {
      if (!run.px.empty() && run.covered != line.covered[i]) {
        run.px.push_back(line.px[i]);
        out.push_back(run);
        run.px.clear();
      }
      run.covered = line.covered[i];
      run.px.push_back(line.px[i]);
    }
    if (!run.px.empty()) out.push_back(std::move(run));
  }
  return out;
}

}  // namespace underdraw
