#include "recover/turn_between.h"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "recover/match_patch.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr double kPxPerMm = 4.0;
constexpr double kPatchMm = 10.0;
constexpr double kApartMm = 7.0;
constexpr double kUpMm = 2.0;  // how far up or down two fits of one wall may differ
constexpr float kTrusted = 0.15f;
constexpr double kLeastMarks = 0.008;  // scatter of marks; below is grain
constexpr double kLeastLike = 0.6;
constexpr double kOtherTop = 0.1;

// A face at one scale, running on past its seam on both sides.
struct Flat {
  cv::Mat marks, seen;
};

Flat flat(const Unrolled& face, cv::Size size, int past) {
  cv::Mat tone, trust;
  cv::resize(face.light, tone, size, 0, 0, cv::INTER_AREA);
  cv::resize(face.trust, trust, size, 0, 0, cv::INTER_AREA);
  cv::copyMakeBorder(tone, tone, 0, 0, past, past, cv::BORDER_WRAP);
  cv::copyMakeBorder(trust, trust, 0, 0, past, past, cv::BORDER_WRAP);
  return {fine_marks(tone, kPxPerMm), trust > kTrusted};
}

bool all_seen(const cv::Mat& seen) {
  return cv::countNonZero(seen) == static_cast<int>(seen.total());
}

// The offsets with the most others nearby.
std::vector<Vec2> largest_group(const std::vector<Vec2>& offs_mm, double agree_mm) {
  std::vector<Vec2> sorted = offs_mm;
  std::sort(sorted.begin(), sorted.end(), [](Vec2 a, Vec2 b) { return a.x < b.x; });
  std::size_t from = 0, best_from = 0, best_count = 0;
  for (std::size_t to = 0; to < sorted.size(); ++to) {
    while (sorted[to].x - sorted[from].x > 2.0 * agree_mm) ++from;
    if (to + 1 - from <= best_count) continue;
    best_count = to + 1 - from;
    best_from = from;
  }
  const auto begin = sorted.begin() + static_cast<std::ptrdiff_t>(best_from);
  return {begin, begin + static_cast<std::ptrdiff_t>(best_count)};
}

}  // namespace

void TurnBetweenOptions::validate() const {
  require_between(most_deg, 1.0, 30.0, "largest turn", "°");
  require_between(static_cast<double>(least), 3.0, 1000.0, "patches that agree", "");
  require_between(agree_mm, 0.05, 2.0, "agreement of patches", "mm");
}

std::optional<TurnBetween> turn_between(const Unrolled& before,
                                        const Unrolled& after,
                                        const Surface& surface,
                                        const TurnBetweenOptions& options) {
  options.validate();
  if (!before.round || !after.round || before.light.size() != after.light.size()) {
    throw GeometryError({.file = {},
                         .line = {},
                         .found = "two pictures that are not of one round face",
                         .expected = {},
                         .remedy = "unroll both stages on the same surface"});
  }
  const double shrink = kPxPerMm / before.px_per_along;
  const cv::Size size(static_cast<int>(std::lround(before.light.cols * shrink)),
                      static_cast<int>(std::lround(before.light.rows * shrink)));
  const double px_per_deg = size.width / 360.0;
  const int half = static_cast<int>(kPatchMm * kPxPerMm / 2.0);
  const int reach_x = static_cast<int>(std::ceil(options.most_deg * px_per_deg));
  const int most_y = static_cast<int>(kUpMm * kPxPerMm);
  const int past = half + reach_x + 1;
  const Flat first = flat(before, size, past);
  const Flat second = flat(after, size, past);
  const int apart = static_cast<int>(kApartMm * kPxPerMm);
  std::vector<cv::Point> middles;
  for (int y = half + 3; y + half + 3 < size.height; y += apart) {
    for (int x = apart / 2; x < size.width; x += apart) middles.emplace_back(x + past, y);
  }
  std::vector<std::optional<Vec2>> offs(middles.size());
  parallel_for(middles.size(), [&](std::size_t i) {
    const cv::Point m = middles[i];
    const int reach_y = std::min({most_y, m.y - half, size.height - 1 - m.y - half});
    const cv::Rect patch(m.x - half, m.y - half, 2 * half + 1, 2 * half + 1);
    const cv::Rect around(m.x - half - reach_x,
                          m.y - half - reach_y,
                          2 * (half + reach_x) + 1,
                          2 * (half + reach_y) + 1);
    if (!all_seen(first.seen(patch)) || !all_seen(second.seen(patch))) return;
    cv::Scalar mean, scatter;
    cv::meanStdDev(first.marks(patch), mean, scatter);
    if (scatter[0] < kLeastMarks) return;
    const PatchMatch match = match_patch(first.marks(patch), second.marks(around), kPxPerMm);
    if (match.like < kLeastLike || match.other > match.like - kOtherTop) return;
    offs[i] = match.shift_px;
  });
  std::vector<Vec2> mm;
  const double per_px = surface.area_mm2() / surface.along_mm() / size.width;
  for (const auto& off : offs) {
    if (off) mm.push_back({off->x * per_px, -off->y / kPxPerMm});
  }
  const std::vector<Vec2> agreeing = largest_group(mm, options.agree_mm);
  if (agreeing.size() < options.least) return {};
  TurnBetween out;
  out.patches = agreeing.size();
  std::vector<double> right, up, off;
  for (const Vec2 v : agreeing) {
    right.push_back(v.x);
    up.push_back(v.y);
  }
  const double right_mm = median(right);
  for (const Vec2 v : agreeing) off.push_back(std::abs(v.x - right_mm));
  out.turn_deg = right_mm / per_px / px_per_deg;
  out.up_mm = median(up);
  out.scatter_mm = 1.4826 * median(off);
  return out;
}

}  // namespace underdraw
