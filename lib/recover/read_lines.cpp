#include "recover/read_lines.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "recover/picture_lines.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr float kTrusted = 0.02f;    // less was hardly seen
constexpr double kPastSeamMm = 6.0;  // read on both sides of the seam, so that lines go through
constexpr double kJoinMm = 0.8;      // ends at the seam this close are one line

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
  const PictureLines picture = read_picture_lines(
      widened(face.light),
      seen,
      {.px_per_mm = px_per_mm, .line_mm = options.line_mm, .least_depth = options.least_depth});
  SeenLines out;
  out.noise = picture.noise;
  const Vec2 corner{past + 2.0, 2.0};
  const auto face_point = [&](Vec2 px) { return face.face_from_px(px - corner); };
  const double wide = face.light.cols;
  const auto once = [&](Vec2 px) { return px.x >= corner.x && px.x - corner.x < wide; };
  for (const Ridge& ridge : picture.ridges) {
    if (!once(ridge.at)) continue;
    const FacePoint at = face_point(ridge.at);
    const double px_per_right =
        face.px_per_across /
        std::max(1e-6, surface.mm_per_across(std::clamp(at.along, 0.0, surface.along_mm())));
    out.points.push_back(
        {at, normalized(Vec2{ridge.along.x / px_per_right, ridge.along.y / px_per_mm})});
  }
  for (const PictureDot& dot : picture.dots) {
    if (!once(dot.px)) continue;
    out.dots.push_back({face_point(dot.px), dot.width_px / px_per_mm, dot.depth});
  }
  for (const PictureLine& line : picture.lines) {
    SeenLine run;
    std::vector<double> depths;
    const auto end_run = [&] {
      run.width_mm = line.width_px / px_per_mm;
      run.depth = median(std::move(depths));
      depths.clear();
      if (run.points.size() > 1) out.lines.push_back(std::move(run));
      run = {};
    };
    for (std::size_t i = 0; i < line.px.size(); ++i) {
      if (!once(line.px[i])) {
        end_run();
        continue;
      }
      run.points.push_back(face_point(line.px[i]));
      depths.push_back(line.depth[i]);
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
