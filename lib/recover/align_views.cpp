#include "recover/align_views.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <opencv2/calib3d.hpp>
#include <opencv2/features2d.hpp>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr double kRatio = 0.8;        // of nearest to second nearest: Lowe's
constexpr double kFlatShare = 0.006;  // of the longer side, from a homography that pairs agree on
constexpr double kAgreeShare = 0.0016;
constexpr int kLayers = 3;
constexpr double kStiffLayer =
    30.0;  // of what matches alone say: does not bend from one to the next
constexpr std::size_t kLeastMatches = 12;
constexpr std::size_t kLeastPairs = 30;
constexpr int kSpots = 4000;
constexpr double kSpotsApartPx = 7.0;
constexpr double kAlike = 0.8;        // correlation of a patch with where it is found
constexpr double kEdge = 0.1;         // change along an edge over that across it, squared, at most
constexpr double kRoundShare = 0.04;  // of the longer side: round about a spot
constexpr double kFoundRound = 0.5;   // share of the spots round about that must be found as well
constexpr double kLeastDeviation = 2.0;  // of a patch's grey values; less is plain
constexpr double kMiddleShare = 0.2;     // spread of the weight that the photo's middle has

// A photo in grey, at most `longest_px` large.
struct Grey {
  cv::Mat light;
  double px_from_photo = 1.0;
};

Grey grey_of(const cv::Mat& bgr, int longest_px) {
  Grey out;
  cv::cvtColor(bgr, out.light, cv::COLOR_BGR2GRAY);
  out.px_from_photo = std::min(1.0, static_cast<double>(longest_px) / std::max(bgr.cols, bgr.rows));
  if (out.px_from_photo < 1.0) {
    cv::resize(out.light, out.light, {}, out.px_from_photo, out.px_from_photo, cv::INTER_AREA);
  }
  return out;
}

struct Features {
  std::vector<Vec2> px;  // of the photo
  cv::Mat told;          // a row each
};

Features features_of(const Grey& grey, int most) {
  std::vector<cv::KeyPoint> points;
  Features out;
  const auto sift = cv::SIFT::create(most, 3, 0.015);
  sift->detectAndCompute(grey.light, cv::noArray(), points, out.told);
  for (const cv::KeyPoint& p : points) {
    // OpenCV counts from pixel middles.
    out.px.push_back(Vec2{p.pt.x + 0.5, p.pt.y + 0.5} / grey.px_from_photo);
  }
  return out;
}

// For each feature the nearest of the others, where it is much nearer than the next; -1 elsewhere.
std::vector<int> nearest(const Features& of, const Features& among) {
  std::vector<int> out(of.px.size(), -1);
  if (of.px.empty() || among.px.size() < 2) return out;
  std::vector<std::vector<cv::DMatch>> found;
  cv::BFMatcher(cv::NORM_L2).knnMatch(of.told, among.told, found, 2);
  for (const std::vector<cv::DMatch>& two : found) {
    if (two.size() == 2 && two[0].distance < kRatio * static_cast<double>(two[1].distance)) {
      out[static_cast<std::size_t>(two[0].queryIdx)] = two[0].trainIdx;
    }
  }
  return out;
}

std::vector<SpotPair> matches_of(const Features& before, const Features& after) {
  const std::vector<int> there = nearest(before, after);
  const std::vector<int> back = nearest(after, before);
  std::vector<SpotPair> out;
  for (std::size_t i = 0; i < there.size(); ++i) {
    if (there[i] < 0) continue;
    const auto to = static_cast<std::size_t>(there[i]);
    if (back[to] == static_cast<int>(i)) out.push_back({before.px[i], after.px[to]});
  }
  return out;
}

std::optional<ViewMap> flat_map(const std::vector<SpotPair>& pairs,
                                cv::Size before,
                                cv::Size after) {
  if (pairs.size() < kLeastMatches) return std::nullopt;
  std::vector<cv::Point2d> from;
  std::vector<cv::Point2d> to;
  for (const SpotPair& pair : pairs) {
    from.emplace_back(pair.before.x, pair.before.y);
    to.emplace_back(pair.after.x, pair.after.y);
  }
  const double off = kFlatShare * std::max(after.width, after.height);
  cv::Mat agree;
  const cv::Mat h = cv::findHomography(from, to, cv::USAC_MAGSAC, off, agree, 10000, 0.9999);
  if (h.empty() || cv::countNonZero(agree) < static_cast<int>(kLeastMatches)) return std::nullopt;
  ViewMap map(cv::Matx33d(h), before, after);
  std::vector<cv::Point2d> agreed;
  for (std::size_t i = 0; i < from.size(); ++i) {
    if (agree.at<uchar>(static_cast<int>(i))) agreed.push_back(from[i]);
  }
  if (!map.is_view_of(agreed)) return std::nullopt;
  return map;
}

double middle_weight(const std::vector<SpotPair>& pairs, cv::Size size) {
  double sum = 0.0;
  const double spread = kMiddleShare * std::max(size.width, size.height);
  for (const SpotPair& pair : pairs) {
    const double off = distance(pair.before, Vec2{size.width / 2.0, size.height / 2.0}) / spread;
    sum += std::exp(-0.5 * off * off);
  }
  return sum;
}

// The photo after as the camera before would have seen it.
cv::Mat warped_after(const ViewMap& map, const Grey& before, const Grey& after) {
  cv::Mat out;
  cv::remap(after.light,
            out,
            remap_places(map, before.light.size(), before.px_from_photo, after.px_from_photo),
            cv::noArray(),
            cv::INTER_LINEAR,
            cv::BORDER_REPLICATE);
  return out;
}

// Grey values change across an edge and not along it: the direction in which they do; nothing for a
// patch that is more than an edge. W. Foerstner's structure tensor.
std::optional<Vec2> edge_of(const cv::Mat& patch) {
  double xx = 0.0;
  double xy = 0.0;
  double yy = 0.0;
  for (int y = 1; y + 1 < patch.rows; ++y) {
    for (int x = 1; x + 1 < patch.cols; ++x) {
      const double dx = patch.at<uchar>(y, x + 1) - patch.at<uchar>(y, x - 1);
      const double dy = patch.at<uchar>(y + 1, x) - patch.at<uchar>(y - 1, x);
      xx += dx * dx;
      xy += dx * dy;
      yy += dy * dy;
    }
  }
  const double mean = 0.5 * (xx + yy);
  const double spread = std::hypot(0.5 * (xx - yy), xy);
  if (mean - spread > kEdge * (mean + spread)) return std::nullopt;
  const double turn = 0.5 * std::atan2(xy, 0.5 * (xx - yy));
  return Vec2{std::cos(turn), std::sin(turn)};
}

// A direction across an edge in the photo before, in the photo after.
Vec2 across_after(const ViewMap& map, Vec2 at, Vec2 across) {
  const Vec2 along = perpendicular(across);
  return perpendicular(
      normalized(map.after_from_before(at - along) - map.after_from_before(at + along)));
}

struct Looked {  // as many as spots
  std::vector<std::optional<SpotPair>> found;
  std::vector<char> in_view;  // the map puts the patch into the photo after
};

// Looks for the patches round `spots` (px of the photo before) where the map expects them.
Looked look_for(const std::vector<Vec2>& spots,
                const ViewMap& map,
                const Grey& before,
                const Grey& after,
                int radius,
                int search) {
  const cv::Mat warped = warped_after(map, before, after);
  const int edge = radius + search;
  const Box view{
      {0.0, 0.0},
      {static_cast<double>(map.after_size().width), static_cast<double>(map.after_size().height)}};
  std::vector<std::optional<SpotPair>> found(spots.size());
  std::vector<char> in_view(spots.size(), 0);
  parallel_for(spots.size(), [&](std::size_t i) {
    const Vec2 at = spots[i] * before.px_from_photo;
    const cv::Point middle(static_cast<int>(at.x), static_cast<int>(at.y));
    if (middle.x < edge || middle.y < edge || middle.x + edge >= warped.cols ||
        middle.y + edge >= warped.rows) {
      return;
    }
    const Box inner = view.grown(-edge / after.px_from_photo);
    if (!inner.contains(map.after_from_before(spots[i]))) return;
    const cv::Rect patch(middle.x - radius, middle.y - radius, 2 * radius + 1, 2 * radius + 1);
    const cv::Mat wanted = before.light(patch);
    cv::Scalar mean;
    cv::Scalar deviation;
    cv::meanStdDev(wanted, mean, deviation);
    if (deviation[0] < kLeastDeviation) return;
    in_view[i] = 1;
    cv::Mat alike;
    cv::matchTemplate(
        warped(cv::Rect(middle.x - edge, middle.y - edge, 2 * edge + 1, 2 * edge + 1)),
        wanted,
        alike,
        cv::TM_CCOEFF_NORMED);
    double best = 0.0;
    cv::Point where;
    cv::minMaxLoc(alike, nullptr, &best, nullptr, &where);
    if (best < kAlike || where.x == 0 || where.y == 0 || where.x == alike.cols - 1 ||
        where.y == alike.rows - 1) {
      return;
    }
    // The top of a parabola through three values.
    const auto top = [](double low, double peak, double high) {
      const double bend = low - 2.0 * peak + high;
      return bend < -1e-9 ? 0.5 * (low - high) / bend : 0.0;
    };
    const auto at_value = [&](int dx, int dy) {
      return static_cast<double>(alike.at<float>(where.y + dy, where.x + dx));
    };
    const Vec2 off{where.x - search + top(at_value(-1, 0), best, at_value(1, 0)),
                   where.y - search + top(at_value(0, -1), best, at_value(0, 1))};
    const Vec2 from = Vec2{middle.x + 0.5, middle.y + 0.5};
    SpotPair pair{from / before.px_from_photo,
                  map.after_from_before((from + off) / before.px_from_photo)};
    if (const auto across = edge_of(wanted)) pair.across = across_after(map, pair.before, *across);
    found[i] = pair;
  });
  return {std::move(found), std::move(in_view)};
}

// Those of the found spots round which most were found: what is found by chance is alone.
std::vector<SpotPair> together(const Looked& looked,
                               const std::vector<Vec2>& spots,
                               cv::Size size) {
  const double side = kRoundShare * std::max(size.width, size.height);
  const auto cell = [&](Vec2 p) {
    return cv::Point(static_cast<int>(p.x / side), static_cast<int>(p.y / side));
  };
  const cv::Size cells(static_cast<int>(size.width / side) + 1,
                       static_cast<int>(size.height / side) + 1);
  cv::Mat wanted = cv::Mat::zeros(cells, CV_32F);
  cv::Mat found = cv::Mat::zeros(cells, CV_32F);
  for (std::size_t i = 0; i < spots.size(); ++i) {
    if (!looked.in_view[i]) continue;
    wanted.at<float>(cell(spots[i])) += 1.0f;
    if (looked.found[i]) found.at<float>(cell(spots[i])) += 1.0f;
  }
  for (cv::Mat* counts : {&wanted, &found}) {
    cv::boxFilter(*counts, *counts, CV_32F, {3, 3}, {-1, -1}, false, cv::BORDER_CONSTANT);
  }
  std::vector<SpotPair> out;
  for (std::size_t i = 0; i < spots.size(); ++i) {
    if (!looked.found[i]) continue;
    const cv::Point at = cell(spots[i]);
    if (found.at<float>(at) >= kFoundRound * static_cast<double>(wanted.at<float>(at))) {
      out.push_back(*looked.found[i]);
    }
  }
  return out;
}

std::vector<Vec2> spots_of(const Grey& grey) {
  std::vector<cv::Point2f> corners;
  cv::goodFeaturesToTrack(grey.light, corners, kSpots, 0.001, kSpotsApartPx);
  std::vector<Vec2> out;
  for (const cv::Point2f& p : corners) {
    out.push_back(Vec2{p.x + 0.5, p.y + 0.5} / grey.px_from_photo);
  }
  return out;
}

[[noreturn]] void refuse(const NamedPicture& before, const NamedPicture& after, std::string found) {
  throw InputError(
      {.file = fmt::format("{} and {}", before.name, after.name),
       .line = {},
       .found = std::move(found),
       .expected = "two photos of the same piece from nearly the same place",
       .remedy = "name 4 or more points that both show (out/points.html), or take the photo after "
                 "again from where the photo before was taken"});
}

}  // namespace

void AlignOptions::validate() const {
  require_between(features_px, 400, 4000, "longer side of pictures for features", "px");
  require_between(most_features, 100, 20000, "most features", "");
  require_between(trust_share, 0.0001, 0.05, "distance at which a map is trusted", "");
}

FittedView align_views(const NamedPicture& before,
                       const NamedPicture& after,
                       const AlignOptions& options) {
  options.validate();
  const Grey small_before = grey_of(before.bgr, options.features_px);
  const Grey small_after = grey_of(after.bgr, options.features_px);
  std::vector<SpotPair> matches = matches_of(features_of(small_before, options.most_features),
                                             features_of(small_after, options.most_features));
  const double longest = std::max(after.bgr.cols, after.bgr.rows);
  FitViewOptions fit;
  fit.agree_px = kAgreeShare * longest;
  fit.trust_px = options.trust_share * longest;

  const std::size_t all = matches.size();
  const std::vector<Vec2> spots = spots_of(small_before);
  std::optional<FittedView> best;
  double most = 0.0;
  for (int layer = 0; layer < kLayers; ++layer) {
    const auto flat = flat_map(matches, before.bgr.size(), after.bgr.size());
    if (!flat) break;
    FitViewOptions stiffly = fit;
    stiffly.stiff = kStiffLayer;
    const auto rough = fit_view(*flat, matches, stiffly);
    if (!rough) break;
    std::erase_if(matches, [&](const SpotPair& pair) {
      return rough->map.off_px(pair) <= 2.0 * fit.agree_px;
    });
    const Looked looked = look_for(spots, rough->map, small_before, small_after, 10, 7);
    const auto pairs = together(looked, spots, before.bgr.size());
    auto fitted = fit_view(rough->map, pairs, fit);
    if (!fitted) continue;
    const double weight = middle_weight(fitted->pairs, before.bgr.size());
    if (weight <= most) continue;
    most = weight;
    best = std::move(fitted);
  }
  if (!best) {
    refuse(before, after, fmt::format("too few of {} like spots lie alike in both", all));
  }
  const int full_px = std::max({before.bgr.cols, before.bgr.rows, after.bgr.cols, after.bgr.rows});
  const Looked looked =
      look_for(spots, best->map, grey_of(before.bgr, full_px), grey_of(after.bgr, full_px), 12, 6);
  best = fit_view(best->map, together(looked, spots, before.bgr.size()), fit);
  if (!best || best->pairs.size() < kLeastPairs || best->reach_px <= 0.0) {
    refuse(before,
           after,
           fmt::format("only {} spots of the one are found in the other, where {} were looked for",
                       best ? best->pairs.size() : 0,
                       std::count(looked.in_view.begin(), looked.in_view.end(), 1)));
  }
  return *std::move(best);
}

}  // namespace underdraw
