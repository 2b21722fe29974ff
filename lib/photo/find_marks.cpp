#include "photo/find_marks.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "photo/find_saddle.h"
#include "photo/read_codes.h"

namespace underdraw {
namespace {

constexpr int kReadingSide = 2000;   // longer side at which codes are read first, px
constexpr std::size_t kPlenty = 10;  // codes: no need to look closer
constexpr std::size_t kLeastCodes = 3;
constexpr double kLensShare = 0.012;  // of the longer side: how far a lens bends a plane
constexpr int kMostRounds = 5;
constexpr double kSureShare = 0.6;  // of the codes must lie as they are printed

// Low cameras flatten the codes: then the photo is drawn out, either way, as it may lie on its
// side.
ReadCodes read_codes(const cv::Mat& grey) {
  const double first =
      std::min(1.0, kReadingSide / static_cast<double>(std::max(grey.cols, grey.rows)));
  ReadCodes read = read_codes_at(grey, first, first);
  if (first < 1.0 && read.size() < kPlenty) read.merge(read_codes_at(grey, 1.0, 1.0));
  if (read.size() < kPlenty) {
    const double more = std::min(2.0, 2.0 * first + 0.5);
    read.merge(read_codes_at(grey, std::min(1.0, 1.3 * first), more));
    if (read.size() < kLeastCodes)
      read.merge(read_codes_at(grey, more, std::min(1.0, 1.3 * first)));
  }
  return read;
}

// A plane seen through a lens, about: a homography to the photo without its bending, then one
// radial term about the photo's middle.
struct PlaneView {
  cv::Matx33d h;
  double bend = 0.0;
  Vec2 middle;
  double unit_px = 1.0;

  Vec2 straight(Vec2 px) const { return straight(px, bend); }
  Vec2 straight(Vec2 px, double k) const {
    const Vec2 d = (px - middle) / unit_px;
    return middle + (px - middle) * (1.0 + k * dot(d, d));
  }
  std::optional<Vec2> px_of(Vec2 mat) const {
    const cv::Vec3d p = h * cv::Vec3d(mat.x, mat.y, 1.0);
    if (p[2] <= 1e-12) return {};
    const Vec2 wanted{p[0] / p[2], p[1] / p[2]};
    Vec2 px = wanted;
    for (int i = 0; i < 20; ++i) {
      const Vec2 d = (px - middle) / unit_px;
      px = middle + (wanted - middle) / std::max(0.2, 1.0 + bend * dot(d, d));
    }
    return px;
  }
};

struct Pair {
  Vec2 mat, px;
};

cv::Point2d cv_point(Vec2 p) { return {p.x, p.y}; }

double fit_plane(PlaneView& view, double bend, const std::vector<Pair>& pairs) {
  std::vector<cv::Point2d> from, to;
  for (const Pair& pair : pairs) {
    from.push_back(cv_point(pair.mat));
    to.push_back(cv_point(view.straight(pair.px, bend)));
  }
  const cv::Mat h = cv::findHomography(from, to, 0);
  if (h.empty()) return 1e30;
  view.h = cv::Matx33d(h.ptr<double>());
  // The mat's middle, or where its marks are, must come out in front.
  double weight = 0.0;
  for (const Pair& p : pairs)
    weight += view.h(2, 0) * p.mat.x + view.h(2, 1) * p.mat.y + view.h(2, 2);
  if (weight < 0.0) view.h = view.h * -1.0;
  view.bend = bend;
  double sum = 0.0;
  for (const Pair& pair : pairs) {
    const auto px = view.px_of(pair.mat);
    sum += px ? dot(*px - pair.px, *px - pair.px) : 1e6;
  }
  return sum;
}

// Least squares over homography and bending; the bending by golden section.
PlaneView plane_view(const std::vector<Pair>& pairs, cv::Size size) {
  PlaneView view;
  view.middle = {size.width / 2.0, size.height / 2.0};
  view.unit_px = 0.5 * std::max(size.width, size.height);
  if (pairs.size() < 10) {
    fit_plane(view, 0.0, pairs);
    return view;
  }
  const double golden = (std::sqrt(5.0) - 1.0) / 2.0;
  double low = -0.15;
  double high = 0.15;
  double a = high - golden * (high - low);
  double b = low + golden * (high - low);
  double cost_a = fit_plane(view, a, pairs);
  double cost_b = fit_plane(view, b, pairs);
  for (int i = 0; i < 12; ++i) {
    if (cost_a < cost_b) {
      high = b, b = a, cost_b = cost_a;
      a = high - golden * (high - low);
      cost_a = fit_plane(view, a, pairs);
    } else {
      low = a, a = b, cost_a = cost_b;
      b = low + golden * (high - low);
      cost_b = fit_plane(view, b, pairs);
    }
  }
  fit_plane(view, (low + high) / 2.0, pairs);
  return view;
}

double median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

[[noreturn]] void refuse(const FindMarksOptions& options,
                         std::string found,
                         std::string expected,
                         std::string remedy) {
  throw InputError({.file = options.photo,
                    .line = {},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .remedy = std::move(remedy)});
}

// The mat most codes belong to.
const MatLayout* mat_seen(const ReadCodes& codes) {
  std::map<const MatLayout*, std::size_t> votes;
  for (const auto& [code, quad] : codes) {
    if (const MatLayout* mat = mat_with_code(code)) ++votes[mat];
  }
  const MatLayout* most = nullptr;
  for (const auto& [mat, count] : votes) {
    if (!most || count > votes[most]) most = mat;
  }
  return most;
}

// Corners of the codes that lie as they are printed.
std::vector<Pair> agreeing(const ReadCodes& codes,
                           const MatLayout& mat,
                           cv::Size size,
                           const FindMarksOptions& options) {
  std::vector<Pair> pairs;
  std::vector<cv::Point2d> from, to;
  std::size_t count = 0;
  for (const auto& [code, quad] : codes) {
    const int index = code - mat.marks.front().code;
    if (index < 0 || index >= static_cast<int>(mat.marks.size())) continue;
    ++count;
    for (std::size_t k = 0; k < 4; ++k) {
      pairs.push_back({mat.marks[static_cast<std::size_t>(index)].corners[k], quad[k]});
      from.push_back(cv_point(pairs.back().mat));
      to.push_back(cv_point(quad[k]));
    }
  }
  const std::string look =
      "photograph the whole mat, sharp and without a lamp's reflection, from 10° to 80° above it";
  if (count < kLeastCodes) {
    refuse(options,
           fmt::format("shows {} mark{} of the mat that can be read", count, count == 1 ? "" : "s"),
           fmt::format("{} or more", kLeastCodes),
           look);
  }
  cv::Mat kept;
  const double reach = kLensShare * std::max(size.width, size.height);
  cv::setRNGSeed(1);
  const cv::Mat h = cv::findHomography(from, to, cv::RANSAC, reach, kept, 3000, 0.9999);
  std::vector<Pair> agree;
  std::size_t agreeing_codes = 0;
  for (std::size_t i = 0; !h.empty() && i < count; ++i) {
    bool all = true;
    for (std::size_t k = 0; k < 4; ++k) {
      all = all && kept.at<std::uint8_t>(static_cast<int>(4 * i + k)) != 0;
    }
    if (!all) continue;
    ++agreeing_codes;
    agree.insert(agree.end(),
                 pairs.begin() + static_cast<std::ptrdiff_t>(4 * i),
                 pairs.begin() + static_cast<std::ptrdiff_t>(4 * i + 4));
  }
  if (agreeing_codes < kLeastCodes ||
      static_cast<double>(agreeing_codes) < kSureShare * static_cast<double>(count)) {
    refuse(
        options,
        fmt::format("shows {} marks with codes of mat {}, but only {} of them lie as they do on it",
                    count,
                    mat.name,
                    agreeing_codes),
        "a mat printed by this program, flat and whole",
        fmt::format("print it with: underdraw mat -o mat.pdf --paper {}", mat.paper.name));
  }
  return agree;
}

struct LocatedSaddle {
  SaddleFit fit;
  double px_per_mm;
};

std::optional<LocatedSaddle> locate(const cv::Mat& grey,
                                    const MatLayout& mat,
                                    const MatSaddle& saddle,
                                    const PlaneView& view,
                                    double reach_mm) {
  const auto at = view.px_of(saddle.at);
  const auto right = view.px_of(saddle.at + Vec2{1.0, 0.0});
  const auto up = view.px_of(saddle.at + Vec2{0.0, 1.0});
  if (!at || !right || !up) return {};
  if (at->x < 2 || at->y < 2 || at->x > grey.cols - 2 || at->y > grey.rows - 2) return {};
  SaddleGuess guess;
  guess.px = *at;
  guess.px_per_right = *right - *at;
  guess.px_per_up = *up - *at;
  guess.edge_mm = 0.36 * mat.square_mm;
  guess.beside_mm = 0.085 * mat.square_mm;
  guess.rising = saddle.rising;
  const double scale = std::sqrt(std::abs(cross(guess.px_per_right, guess.px_per_up)));
  guess.reach_px = std::max(2.5, reach_mm * scale);
  const auto fit = find_saddle(grey, guess);
  if (!fit) return {};
  return LocatedSaddle{*fit, scale};
}

}  // namespace

void FindMarksOptions::validate() const {
  require_between(static_cast<double>(least_corners), 6.0, 100.0, "least corners", "");
}

FoundMarks find_marks(const cv::Mat& grey, const FindMarksOptions& options) {
  options.validate();
  const ReadCodes codes = read_codes(grey);
  const MatLayout* mat = mat_seen(codes);
  if (!mat) {
    refuse(options,
           "shows no mark of a photo mat",
           "the piece on its mat, with marks in view",
           "print one with underdraw mat; without one its lines can only be drawn over a later "
           "photo of the same view");
  }
  if (options.expected && options.expected != mat) {
    refuse(options,
           fmt::format("was taken on mat {}", mat->name),
           "mat " + options.expected->name,
           "name that mat, or photograph the piece on the one it was measured for");
  }
  std::vector<Pair> pairs = agreeing(codes, *mat, grey.size(), options);

  FoundMarks found{options.photo, grey.cols, grey.rows, mat, pairs.size() / 4, {}, 0.0, 0.0};
  // The corners found first say better where the others are: until no more are found.
  std::vector<std::optional<LocatedSaddle>> located(mat->saddles.size());
  std::size_t count_before = 0;
  for (int round = 0; round < kMostRounds; ++round) {
    const PlaneView view = plane_view(pairs, grey.size());
    const double reach_mm = (round == 0 ? 0.2 : 0.1) * mat->square_mm;
    parallel_for(mat->saddles.size(), [&](std::size_t i) {
      located[i] = locate(grey, *mat, mat->saddles[i], view, reach_mm);
    });
    std::vector<Pair> next;
    for (std::size_t i = 0; i < located.size(); ++i) {
      if (located[i]) next.push_back({mat->saddles[i].at, located[i]->fit.px});
    }
    if (next.size() < options.least_corners) break;
    // What is far from where the plane has it is something else.
    PlaneView check = plane_view(next, grey.size());
    std::vector<double> off;
    for (const Pair& pair : next) off.push_back(distance(*check.px_of(pair.mat), pair.px));
    const double limit = std::max(1.0, 6.0 * median_of(off));
    pairs.clear();
    for (std::size_t i = 0, k = 0; i < located.size(); ++i) {
      if (!located[i]) continue;
      if (off[k] <= limit) {
        pairs.push_back(next[k]);
      } else {
        located[i].reset();
      }
      ++k;
    }
    if (round > 0 && pairs.size() <= count_before) break;
    count_before = pairs.size();
  }
  std::vector<double> blurs, scales;
  for (std::size_t i = 0; i < located.size(); ++i) {
    if (!located[i]) continue;
    found.corners.push_back({i, mat->saddles[i].at, located[i]->fit.px, located[i]->fit.sd_px});
    blurs.push_back(located[i]->fit.blur_px);
    scales.push_back(located[i]->px_per_mm);
  }
  if (found.corners.size() < options.least_corners) {
    refuse(
        options,
        fmt::format("shows {} corners of mat {} sharply enough", found.corners.size(), mat->name),
        fmt::format("{} or more", options.least_corners),
        "hold still, come nearer, or turn the lamp so that it is not mirrored");
  }
  found.blur_px = median_of(blurs);
  found.px_per_mm = median_of(scales);
  return found;
}

}  // namespace underdraw
