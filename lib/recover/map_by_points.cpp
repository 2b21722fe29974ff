#include "recover/map_by_points.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>

#include <fmt/format.h>
#include <opencv2/calib3d.hpp>

#include "core/error.h"
#include "trace/median.h"

namespace underdraw {
namespace {

constexpr std::size_t kLeastPoints = 4;
constexpr std::size_t kBendPoints = 8;
constexpr std::array<double, 4> kStiff = {1000.0, 100.0, 10.0, 1.0};
// Off by more than this many times the median, and this share of the photo, a point is doubtful.
constexpr double kDoubtTimes = 4.0;
constexpr double kDoubtShare = 0.01;
constexpr std::size_t kDoubtedOneIn = 5;  // at most

std::optional<ViewMap> fitted(const std::vector<SpotPair>& points,
                              cv::Size before,
                              cv::Size after,
                              std::optional<double> stiff) {
  std::vector<cv::Point2d> from;
  std::vector<cv::Point2d> to;
  for (const SpotPair& point : points) {
    from.emplace_back(point.before.x, point.before.y);
    to.emplace_back(point.after.x, point.after.y);
  }
  const cv::Mat h = cv::findHomography(from, to, 0);
  if (h.empty() || !cv::checkRange(h)) return std::nullopt;
  ViewMap map(cv::Matx33d(h), before, after);
  if (!map.is_view_of(from)) return std::nullopt;
  if (stiff) map.bend_to(points, {}, *stiff);
  return map;
}

// Nothing where the rest makes no map.
std::optional<std::vector<double>> leave_one_out(const std::vector<SpotPair>& points,
                                                 cv::Size before,
                                                 cv::Size after,
                                                 std::optional<double> stiff) {
  std::vector<double> out;
  for (std::size_t i = 0; i < points.size(); ++i) {
    std::vector<SpotPair> rest = points;
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
    const auto map = fitted(rest, before, after, stiff);
    if (!map) return std::nullopt;
    out.push_back(map->off_px(points[i]));
  }
  return out;
}

[[noreturn]] void refuse(std::string found, std::string expected, std::string remedy) {
  throw InputError({.file = {},
                    .line = {},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .remedy = std::move(remedy)});
}

}  // namespace

// The map whose left-out points come out best on the whole: corners, which a bend reaches only by
// guessing, weigh as much as the middle.
PointsView best_map(const std::vector<SpotPair>& points,
                    const ViewMap& flat,
                    cv::Size before,
                    cv::Size after) {
  PointsView out{flat, {}, 0.0, {}};
  double least = std::numeric_limits<double>::infinity();
  const auto consider = [&](std::optional<double> stiff) {
    const auto off = leave_one_out(points, before, after, stiff);
    if (!off) return;
    const double sum = std::accumulate(off->begin(), off->end(), 0.0);
    if (sum >= least) return;
    least = sum;
    out.left_out_px = *off;
    out.left_out_median_px = median(*off);
    if (stiff) out.map = *fitted(points, before, after, stiff);
  };
  if (points.size() > kLeastPoints) consider(std::nullopt);
  if (points.size() >= kBendPoints) {
    for (const double stiff : kStiff) consider(stiff);
  }
  return out;
}

PointsView map_by_points(const std::vector<SpotPair>& points, cv::Size before, cv::Size after) {
  if (points.size() < kLeastPoints) {
    refuse(fmt::format("{} points", points.size()), "4 or more", "tap more spots in both photos");
  }
  std::optional<ViewMap> map = fitted(points, before, after, std::nullopt);
  if (!map) {
    refuse("these points are no view of each other: some lie on one line, or in another order",
           "spots spread over the piece, the same in both photos",
           "check each number in both photos, or tap spots that lie farther apart");
  }
  // Told by the flat map: a bend would give way to a wrong point. The worst first, as it draws its
  // neighbours away from where they belong.
  std::vector<std::size_t> doubtful;
  std::vector<std::size_t> kept(points.size());
  std::iota(kept.begin(), kept.end(), std::size_t{0});
  std::vector<SpotPair> rest = points;
  while (rest.size() > kLeastPoints + 1 && doubtful.size() < points.size() / kDoubtedOneIn) {
    const auto flat = fitted(rest, before, after, std::nullopt);
    auto off = leave_one_out(rest, before, after, std::nullopt);
    if (!flat || !off) break;
    // A corner that alone holds its side is far off without itself, and near with itself.
    for (std::size_t i = 0; i < rest.size(); ++i) {
      (*off)[i] = std::sqrt((*off)[i] * flat->off_px(rest[i]));
    }
    const auto worst = std::max_element(off->begin(), off->end()) - off->begin();
    const double most =
        std::max(kDoubtTimes * median(*off), kDoubtShare * std::max(after.width, after.height));
    if ((*off)[static_cast<std::size_t>(worst)] <= most) break;
    doubtful.push_back(kept[static_cast<std::size_t>(worst)]);
    kept.erase(kept.begin() + worst);
    rest.erase(rest.begin() + worst);
  }
  const auto made_of = [&](const std::vector<SpotPair>& some) {
    const auto flat = fitted(some, before, after, std::nullopt);
    return best_map(some, flat ? *flat : *map, before, after);
  };
  PointsView out = made_of(rest);
  // On a round wall a flat map doubts what a bend explains.
  const double most = std::max(kDoubtTimes * out.left_out_median_px,
                               kDoubtShare * std::max(after.width, after.height));
  std::erase_if(doubtful, [&](std::size_t i) {
    const bool agrees = out.map.off_px(points[i]) <= most;
    if (agrees) rest.push_back(points[i]);
    return agrees;
  });
  if (rest.size() > kept.size()) out = made_of(rest);
  std::sort(doubtful.begin(), doubtful.end());
  out.doubtful = std::move(doubtful);
  out.map.trust_between(rest);
  return out;
}

}  // namespace underdraw
