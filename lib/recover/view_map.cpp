#include "recover/view_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"

namespace underdraw {
namespace {

constexpr double kUnitsAcross = 126.0;    // of the longer side: 14 knots of Bend
constexpr double kCellsAcross = 400.0;    // of the raster that knows what is trusted
constexpr std::size_t kEmptyEighths = 3;  // side by side
constexpr int kTrustCells = 3;            // judged together
constexpr double kLeastGrowth = 0.05;     // of areas, from one photo to the other
constexpr int kBackCells = 8;             // from sample to sample of a map that is turned back
constexpr double kBackStiff = 0.05;       // samples have no error
constexpr double kRoundStill = 1e-3;      // holds shifts that no pair tells
constexpr std::size_t kLeastPairs = 12;
constexpr double kTrustedShare = 0.95;  // of left-out pairs that are off by no more than is allowed
constexpr std::size_t kLeastLeftOut = 20;  // pairs from which a share is told

// From wide and stiff to narrow and soft: times FitViewOptions::agree_px and ::stiff.
struct Round {
  double agree, stiff;
};
constexpr std::array<Round, 8> kRounds = {
    {{5, 100}, {5, 30}, {4, 10}, {3, 5}, {2, 2}, {1.5, 1}, {1, 1}, {1, 1}}};

// Sides of the patches left out in turn, shares of the longer side, and the distances from what is
// left that are told apart.
constexpr std::array<double, 4> kPatches = {0.02, 0.05, 0.1, 0.2};
constexpr double kSmallPatch = 0.05;
constexpr double kDoubt = 1.0;  // times FitViewOptions::agree_px, off without its patch
constexpr int kDoubtRounds = 3;
constexpr std::array<double, 8> kReaches = {0.006, 0.012, 0.018, 0.025, 0.035, 0.05, 0.07, 0.1};

double longer(cv::Size size) { return std::max(size.width, size.height); }

std::vector<double> weights_of(const ViewMap& map,
                               const std::vector<SpotPair>& pairs,
                               double agree_px) {
  std::vector<double> out;
  for (const SpotPair& pair : pairs) {
    const double off = map.off_px(pair) / agree_px;
    out.push_back(off < 1.0 ? (1.0 - off * off) * (1.0 - off * off) : 0.0);
  }
  return out;
}

std::array<double, 6> powers_at(Vec2 flat) {
  const double x = 2.0 * flat.x / kUnitsAcross - 1.0;
  const double y = 2.0 * flat.y / kUnitsAcross - 1.0;
  return {1.0, x, y, x * x, x * y, y * y};
}

// A spot that should move by `off` along the unit direction `across`.
std::vector<BendPull> pulls_of(Vec2 drawn, const SpotPair& pair, Vec2 off, double weight) {
  if (pair.across != Vec2{}) return {{drawn, pair.across, dot(off, pair.across), weight}};
  return {{drawn, {1.0, 0.0}, off.x, weight}, {drawn, {0.0, 1.0}, off.y, weight}};
}

// Least squares of shifts that are quadratic over the photo.
std::array<Vec2, 6> round_shifts(const std::vector<BendPull>& pulls) {
  cv::Matx<double, 12, 12> normal = cv::Matx<double, 12, 12>::eye() * kRoundStill;
  cv::Vec<double, 12> right;
  for (const BendPull& pull : pulls) {
    const auto powers = powers_at(pull.drawn);
    cv::Vec<double, 12> row;
    for (int k = 0; k < 6; ++k) {
      row[2 * k] = powers[static_cast<std::size_t>(k)] * pull.across.x;
      row[2 * k + 1] = powers[static_cast<std::size_t>(k)] * pull.across.y;
    }
    normal += row * row.t() * pull.weight;
    right += row * (pull.weight * pull.off);
  }
  const cv::Vec<double, 12> solved = normal.solve(right, cv::DECOMP_CHOLESKY);
  std::array<Vec2, 6> out;
  for (int k = 0; k < 6; ++k) out[static_cast<std::size_t>(k)] = {solved[2 * k], solved[2 * k + 1]};
  return out;
}

double share_value(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  const auto at = values.begin() +
                  static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// How far one must look for pairs, known both ways, to find two in each direction but at most
// three eighths side by side: between such pairs a map is sure, outside not.
double support_px(Vec2 at, const std::vector<SpotPair>& pairs) {
  constexpr double kNone = std::numeric_limits<double>::infinity();
  std::array<std::array<double, 2>, 8> nearest;
  nearest.fill({kNone, kNone});
  for (const SpotPair& pair : pairs) {
    if (pair.across != Vec2{}) continue;
    const Vec2 off = pair.before - at;
    const double away = length(off);
    // Eighths in their order round about.
    const bool up = off.y < 0.0;
    const bool left = off.x < 0.0;
    const std::size_t quarter = up ? (left ? 2U : 3U) : (left ? 1U : 0U);
    const bool steep = std::abs(off.y) > std::abs(off.x);
    std::array<double, 2>& two = nearest[2 * quarter + (steep == (quarter % 2 == 0) ? 1U : 0U)];
    if (away < two[0]) {
      two = {away, two[0]};
    } else {
      two[1] = std::min(two[1], away);
    }
  }
  double out = 0.0;
  for (std::size_t k = 0; k < nearest.size(); ++k) {
    double side = kNone;
    for (std::size_t i = 0; i <= kEmptyEighths; ++i) {
      side = std::min(side, nearest[(k + i) % nearest.size()][1]);
    }
    out = std::max(out, side);
  }
  return out;
}

struct LeftOut {
  std::size_t pair = 0;
  double patch = 0.0;    // its side, share of the longer one
  double away_px = 0.0;  // of its support among the pairs that were left
  double off_px = 0.0;
};

// Patches of a chessboard's four kinds left out in turn.
std::vector<LeftOut> leave_out(const FittedView& fitted, double stiff) {
  const cv::Size size = fitted.map.before_size();
  std::vector<std::vector<LeftOut>> found(4 * kPatches.size());
  parallel_for(found.size(), [&](std::size_t job) {
    const double side = kPatches[job / 4] * longer(size);
    const int kind = static_cast<int>(job % 4);
    std::vector<SpotPair> left;
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < fitted.pairs.size(); ++i) {
      const Vec2 cell = fitted.pairs[i].before / side;
      const int column = static_cast<int>(std::floor(cell.x)) & 1;
      const int row = static_cast<int>(std::floor(cell.y)) & 1;
      if (2 * row + column == kind) {
        out.push_back(i);
      } else {
        left.push_back(fitted.pairs[i]);
      }
    }
    if (left.size() < kLeastPairs) return;
    ViewMap map = fitted.map;
    map.bend_to(left, {}, stiff);
    for (const std::size_t i : out) {
      const SpotPair& pair = fitted.pairs[i];
      found[job].push_back({i, kPatches[job / 4], support_px(pair.before, left), map.off_px(pair)});
    }
  });
  std::vector<LeftOut> all;
  for (const std::vector<LeftOut>& some : found) all.insert(all.end(), some.begin(), some.end());
  return all;
}

// Those that lie where the others say when they have no say themselves. A bend gives way to a few
// pairs that are wrong together, so that they agree with it.
std::vector<SpotPair> undoubted(const std::vector<SpotPair>& pairs,
                                const std::vector<LeftOut>& left_out,
                                double most_px) {
  std::vector<char> doubted(pairs.size(), 0);
  for (const LeftOut& one : left_out) {
    if (one.patch <= kSmallPatch && one.off_px > most_px) doubted[one.pair] = 1;
  }
  std::vector<SpotPair> out;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    if (!doubted[i]) out.push_back(pairs[i]);
  }
  return out;
}

// The longest reach up to which what is left out comes out right.
double reach_of(const std::vector<LeftOut>& left_out, double longest_px, double trust_px) {
  double reach = 0.0;
  double from = 0.0;
  for (const double share : kReaches) {
    const double to = share * longest_px;
    std::vector<double> off;
    for (const LeftOut& one : left_out) {
      if (one.away_px >= from && one.away_px < to) off.push_back(one.off_px);
    }
    if (off.size() < kLeastLeftOut) continue;  // together with the next
    if (share_value(std::move(off), kTrustedShare) > trust_px) break;
    reach = to;
    from = to;
  }
  return reach;
}

}  // namespace

ViewMap::ViewMap(const cv::Matx33d& after_from_before, cv::Size before, cv::Size after)
    : homography_(after_from_before * (1.0 / after_from_before(2, 2))),
      before_(before),
      after_(after),
      unit_px_(longer(after) / kUnitsAcross),
      px_per_cell_(longer(before) / kCellsAcross) {}

Vec2 ViewMap::by_homography(Vec2 p) const {
  const cv::Vec3d q = homography_ * cv::Vec3d(p.x, p.y, 1.0);
  return Vec2{q[0] / q[2], q[1] / q[2]} / unit_px_;
}

Vec2 ViewMap::rounded(Vec2 flat) const {
  const auto powers = powers_at(flat);
  Vec2 out = flat;
  for (std::size_t k = 0; k < powers.size(); ++k) out += round_[k] * powers[k];
  return out;
}

Vec2 ViewMap::after_from_before(Vec2 before) const {
  const Vec2 round = rounded(by_homography(before));
  return (bend_ ? bend_->bent(round) : round) * unit_px_;
}

bool ViewMap::is_view_of(const std::vector<cv::Point2d>& before) const {
  // Of a homography the areas grow by its determinant over the third power of the depth.
  const double volume = cv::determinant(homography_);
  return std::all_of(before.begin(), before.end(), [&](const cv::Point2d& p) {
    const double depth = (homography_ * cv::Vec3d(p.x, p.y, 1.0))[2];
    const double grows = volume / (depth * depth * depth);
    return depth > 0.0 && grows > kLeastGrowth && grows < 1.0 / kLeastGrowth;
  });
}

double ViewMap::off_px(const SpotPair& pair) const {
  const Vec2 off = after_from_before(pair.before) - pair.after;
  return pair.across == Vec2{} ? length(off) : std::abs(dot(off, pair.across));
}

bool ViewMap::trusts(Vec2 before) const {
  const cv::Point cell = cell_at(before);
  return cv::Rect({0, 0}, trusted_.size()).contains(cell) && trusted_.at<uchar>(cell);
}

cv::Point ViewMap::cell_at(Vec2 before) const {
  return {static_cast<int>(std::floor(before.x / px_per_cell_)),
          static_cast<int>(std::floor(before.y / px_per_cell_))};
}

cv::Mat ViewMap::no_cells(int type) const {
  return cv::Mat::zeros(static_cast<int>(std::ceil(before_.height / px_per_cell_)),
                        static_cast<int>(std::ceil(before_.width / px_per_cell_)),
                        type);
}

void ViewMap::bend_to(const std::vector<SpotPair>& pairs,
                      const std::vector<double>& weights,
                      double stiff) {
  std::vector<BendPull> pulls;
  const auto pull_all = [&](const auto& drawn_of) {
    pulls.clear();
    for (std::size_t i = 0; i < pairs.size(); ++i) {
      const double weight = weights.empty() ? 1.0 : weights[i];
      if (weight <= 0.0) continue;
      const Vec2 drawn = drawn_of(by_homography(pairs[i].before));
      for (const BendPull& pull :
           pulls_of(drawn, pairs[i], pairs[i].after / unit_px_ - drawn, weight)) {
        pulls.push_back(pull);
      }
    }
  };
  pull_all([](Vec2 flat) { return flat; });
  round_ = round_shifts(pulls);
  Box box;
  box.add(Vec2{0.0, 0.0});
  box.add(Vec2{after_.width / unit_px_, after_.height / unit_px_});
  bend_.emplace(Affine{}, box);
  pull_all([&](Vec2 flat) { return rounded(flat); });
  bend_->pull(pulls, stiff);
}

void ViewMap::trust_near(const std::vector<SpotPair>& pairs, double reach_px) {
  trusted_ = no_cells(CV_8UC1);
  const int across = (trusted_.cols + kTrustCells - 1) / kTrustCells;
  const int down = (trusted_.rows + kTrustCells - 1) / kTrustCells;
  parallel_for(static_cast<std::size_t>(down), [&](std::size_t row) {
    for (int x = 0; reach_px > 0.0 && x < across; ++x) {
      const cv::Rect cells =
          cv::Rect(x * kTrustCells, static_cast<int>(row) * kTrustCells, kTrustCells, kTrustCells) &
          cv::Rect({0, 0}, trusted_.size());
      const Vec2 middle =
          Vec2{cells.x + cells.width / 2.0, cells.y + cells.height / 2.0} * px_per_cell_;
      if (support_px(middle, pairs) <= reach_px) trusted_(cells).setTo(255);
    }
  });
}

void ViewMap::trust_between(const std::vector<SpotPair>& pairs) {
  trusted_ = no_cells(CV_8UC1);
  std::vector<cv::Point2f> points;
  for (const SpotPair& pair : pairs) {
    points.emplace_back(static_cast<float>(pair.before.x / px_per_cell_),
                        static_cast<float>(pair.before.y / px_per_cell_));
  }
  std::vector<cv::Point2f> hull;
  cv::convexHull(points, hull);
  cv::fillConvexPoly(trusted_, std::vector<cv::Point>(hull.begin(), hull.end()), cv::Scalar(255));
}

void FitViewOptions::validate() const {
  require_between(agree_px, 0.1, 100.0, "distance at which pairs agree", "px");
  require_between(trust_px, 0.1, 100.0, "distance at which a map is trusted", "px");
  require_between(stiff, 0.01, 1000.0, "stiffness of a map", "");
}

std::optional<FittedView> fit_view(const ViewMap& start,
                                   const std::vector<SpotPair>& pairs,
                                   const FitViewOptions& options) {
  options.validate();
  FittedView out{start, {}};
  for (const Round& round : kRounds) {
    const auto weights = weights_of(out.map, pairs, round.agree * options.agree_px);
    if (static_cast<std::size_t>(std::count_if(
            weights.begin(), weights.end(), [](double w) { return w > 0.0; })) < kLeastPairs) {
      return std::nullopt;
    }
    out.map.bend_to(pairs, weights, round.stiff * options.stiff);
  }
  for (const SpotPair& pair : pairs) {
    if (out.map.off_px(pair) <= options.agree_px) out.pairs.push_back(pair);
  }
  if (out.pairs.size() < kLeastPairs) return std::nullopt;
  std::vector<LeftOut> left_out = leave_out(out, options.stiff);
  for (int again = 0; again < kDoubtRounds; ++again) {
    const std::size_t before = out.pairs.size();
    out.pairs = undoubted(out.pairs, left_out, kDoubt * options.agree_px);
    if (out.pairs.size() == before) break;
    if (out.pairs.size() < kLeastPairs) return std::nullopt;
    out.map.bend_to(out.pairs, {}, options.stiff);
    left_out = leave_out(out, options.stiff);
  }
  std::vector<double> near;
  for (const LeftOut& one : left_out) {
    if (one.patch <= kSmallPatch) near.push_back(one.off_px);
  }
  out.left_out_px = share_value(near, 0.5);
  out.left_out_95_px = share_value(near, 0.95);
  out.reach_px = reach_of(left_out, longer(start.before_size()), options.trust_px);
  out.map.trust_near(out.pairs, out.reach_px);
  return out;
}

std::optional<ViewMap> ViewMap::turned_back() const {
  std::vector<SpotPair> pairs;
  std::vector<cv::Point2d> from;
  std::vector<cv::Point2d> to;
  for (int y = 0; y < trusted_.rows; y += kBackCells) {
    for (int x = 0; x < trusted_.cols; x += kBackCells) {
      if (!trusted_.at<uchar>(y, x)) continue;
      const Vec2 before = Vec2{x + 0.5, y + 0.5} * px_per_cell_;
      const Vec2 after = after_from_before(before);
      pairs.push_back({after, before});
      from.emplace_back(after.x, after.y);
      to.emplace_back(before.x, before.y);
    }
  }
  if (pairs.size() < kLeastPairs) return std::nullopt;
  const cv::Mat h = cv::findHomography(from, to, 0);
  if (h.empty() || !cv::checkRange(h)) return std::nullopt;
  ViewMap out(cv::Matx33d(h), after_, before_);
  out.bend_to(pairs, {}, kBackStiff);
  out.trust_near(pairs, 2.0 * kBackCells * px_per_cell_);
  return out;
}

cv::Mat remap_places(const ViewMap& map, cv::Size size, double px_from_here, double px_from_there) {
  constexpr int kCell = 8;  // a map is smooth over so many px
  const cv::Size cells((size.width + kCell - 1) / kCell, (size.height + kCell - 1) / kCell);
  cv::Mat coarse(cells, CV_32FC2);
  parallel_for(static_cast<std::size_t>(cells.height), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    for (int x = 0; x < cells.width; ++x) {
      const Vec2 p = Vec2{(x + 0.5) * kCell, (y + 0.5) * kCell} / px_from_here;
      const Vec2 q = map.after_from_before(p) * px_from_there;
      // OpenCV counts from pixel middles.
      coarse.at<cv::Vec2f>(y, x) = {static_cast<float>(q.x - 0.5), static_cast<float>(q.y - 0.5)};
    }
  });
  cv::Mat dense;
  cv::resize(coarse, dense, {cells.width * kCell, cells.height * kCell}, 0, 0, cv::INTER_LINEAR);
  return dense(cv::Rect({0, 0}, size)).clone();
}

cv::Mat seen_from_after(const ViewMap& map, const cv::Mat& before, const cv::Mat& after) {
  const auto back = map.turned_back();
  if (!back) return after.clone();
  cv::Mat seen;
  cv::remap(before,
            seen,
            remap_places(*back, after.size(), 1.0, 1.0),
            cv::noArray(),
            cv::INTER_LINEAR,
            cv::BORDER_REPLICATE);
  cv::Mat out = after.clone();
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      if (back->trusts({x + 0.5, y + 0.5})) out.at<cv::Vec3b>(y, x) = seen.at<cv::Vec3b>(y, x);
    }
  }
  return out;
}

}  // namespace underdraw
