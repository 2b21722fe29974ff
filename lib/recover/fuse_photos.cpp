#include "recover/fuse_photos.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "core/parallel.h"
#include "recover/even_photos.h"
#include "recover/face_net.h"

namespace underdraw {
namespace {

constexpr double kCoarsePxPerMm = 2.0;
constexpr double kLeastBlurPx = 0.5;  // pixels themselves blur
constexpr double kSharpPerMm = 4.0;   // one sigma of 0.25 mm: a line of 0.5 mm is whole
constexpr double kFadeDeg = 8.0;      // to the steepest
constexpr double kEvenMm = 15.0;      // light of the base coat is taken over this, one sigma
constexpr double kWhiteTone = 250.0;
constexpr float kDark = 0.02f;  // added before the logarithm

// How well a place is seen, 0 to 1, before glare.
class Sight {
 public:
  Sight(const FusePhotosOptions& options, double blur_px)
      : least_(static_cast<float>(std::cos(radians(options.steepest_deg)))),
        full_(static_cast<float>(std::cos(radians(options.steepest_deg - kFadeDeg)))),
        blur_px_(static_cast<float>(std::hypot(blur_px, kLeastBlurPx))) {}

  float trust(float facing, float px_per_mm, float inside) const {
    const float fade = std::clamp((facing - least_) / (full_ - least_), 0.0f, 1.0f);
    const float sharp = std::min(1.0f, px_per_mm / blur_px_ / static_cast<float>(kSharpPerMm));
    return fade * facing * sharp * inside;
  }

  // Compares photos: sharpness counts beyond what a line needs.
  float weight(float trust_here, float facing, float px_per_mm) const {
    const float detail = px_per_mm / blur_px_ / 10.0f;
    return trust_here * facing * facing * detail * detail;
  }

 private:
  float least_, full_, blur_px_;
};

FacePhoto made_smaller(const FacePhoto& photo, double factor) {
  FacePhoto out = photo;
  cv::resize(photo.picture, out.picture, {}, factor, factor, cv::INTER_AREA);
  return out;
}

// Columns of a part as one or two stretches of the whole face.
template <typename Job>
void for_stretches(const PhotoPart& part, int columns, Job job) {
  for (int done = 0; done < part.facing.cols;) {
    const int at = (part.first + done) % columns;
    const int count = std::min(columns - at, part.facing.cols - done);
    job(cv::Range(done, done + count), cv::Range(at, at + count));
    done += count;
  }
}

CoarsePhoto coarse_photo(const FaceGrid& grid,
                         const FaceNet& net,
                         const FacePhoto& photo,
                         const Sight& sight,
                         PhotoSight& seen) {
  CoarsePhoto out;
  const cv::Size size(grid.columns, grid.rows);
  out.log_tone = cv::Mat::zeros(size, CV_32FC3);
  out.white = cv::Mat::zeros(size, CV_32FC1);
  out.weight = cv::Mat::zeros(size, CV_32FC1);
  seen.facing = cv::Mat::zeros(size, CV_32FC1);
  seen.px_per_mm = cv::Mat::zeros(size, CV_32FC1);
  seen.blur_px = photo.blur_px;
  std::vector<float> scales;
  for (const NetNode& node : net.nodes) {
    if (node.facing > 0.0f) scales.push_back(node.px_per_mm);
  }
  if (scales.empty()) return out;
  const auto middle = scales.begin() + static_cast<std::ptrdiff_t>(scales.size() / 2);
  std::nth_element(scales.begin(), middle, scales.end());
  const double shrink = std::min(1.0, grid.px_per_mm() / static_cast<double>(*middle));
  const FacePhoto small = made_smaller(photo, shrink);
  const double true_shrink = static_cast<double>(small.picture.cols) / photo.picture.cols;
  const PhotoPart part = part_of_photo(grid, net, small.picture, true_shrink);
  for_stretches(part, grid.columns, [&](cv::Range from, cv::Range to) {
    for (int y = 0; y < grid.rows; ++y) {
      for (int x = 0; x < from.size(); ++x) {
        const float facing = part.facing.at<float>(y, from.start + x);
        if (facing <= 0.0f) continue;
        const cv::Vec3b tone = part.colour.at<cv::Vec3b>(y, from.start + x);
        for (int c = 0; c < 3; ++c) {
          out.log_tone.at<cv::Vec3f>(y, to.start + x)[c] =
              std::log(static_cast<float>(tone[c]) / 255.0f + kDark);
        }
        const bool full = std::min({tone[0], tone[1], tone[2]}) >= kWhiteTone;
        out.white.at<float>(y, to.start + x) = full ? 1.0f : 0.0f;
        const float px_per_mm = part.px_per_mm.at<float>(y, from.start + x);
        const float trust =
            sight.trust(facing, px_per_mm, part.inside.at<float>(y, from.start + x));
        out.weight.at<float>(y, to.start + x) = sight.weight(trust, facing, px_per_mm);
        seen.facing.at<float>(y, to.start + x) = facing;
        seen.px_per_mm.at<float>(y, to.start + x) = px_per_mm;
      }
    }
  });
  return out;
}

// Sums over photos, a cell each.
struct Sums {
  cv::Mat colour;  // CV_32FC3
  cv::Mat weight, best, trust, steep;

  explicit Sums(cv::Size size)
      : colour(cv::Mat::zeros(size, CV_32FC3)),
        weight(cv::Mat::zeros(size, CV_32FC1)),
        best(cv::Mat::zeros(size, CV_32FC1)),
        trust(cv::Mat::zeros(size, CV_32FC1)),
        steep(size, CV_32FC1, cv::Scalar(90.0)) {}
};

// A coarse field between its pixels' middles, asked by the finer grid's pixels.
template <typename T>
T between(const cv::Mat& field, float x, float y, bool round) {
  const float fx = std::floor(x), fy = std::floor(y);
  const auto column = [&](int c) {
    return round ? (c % field.cols + field.cols) % field.cols : std::clamp(c, 0, field.cols - 1);
  };
  const int c0 = column(static_cast<int>(fx)), c1 = column(static_cast<int>(fx) + 1);
  const int r0 = std::clamp(static_cast<int>(fy), 0, field.rows - 1);
  const int r1 = std::clamp(static_cast<int>(fy) + 1, 0, field.rows - 1);
  const float u = x - fx, v = y - fy;
  return (field.at<T>(r0, c0) * (1.0f - u) + field.at<T>(r0, c1) * u) * (1.0f - v) +
         (field.at<T>(r1, c0) * (1.0f - u) + field.at<T>(r1, c1) * u) * v;
}

struct FineStep {
  const FaceGrid& grid;
  const EvenedPhoto& evened;
  const Sight& sight;
  float power;
};

void add_part(const FineStep& how, const PhotoPart& part, Sums& sums) {
  const FaceGrid& grid = how.grid;
  const cv::Mat& field = how.evened.field;
  const float across = static_cast<float>(field.cols) / static_cast<float>(grid.columns);
  const float down = static_cast<float>(field.rows) / static_cast<float>(grid.rows);
  for_stretches(part, grid.columns, [&](cv::Range from, cv::Range to) {
    parallel_for(static_cast<std::size_t>(grid.rows), [&](std::size_t row) {
      const int y = static_cast<int>(row);
      const float field_y = (static_cast<float>(y) + 0.5f) * down - 0.5f;
      for (int i = 0; i < from.size(); ++i) {
        const int p = from.start + i;
        const int x = to.start + i;
        const float facing = part.facing.at<float>(y, p);
        if (facing <= 0.0f) continue;
        const float px_per_mm = part.px_per_mm.at<float>(y, p);
        float trust = how.sight.trust(facing, px_per_mm, part.inside.at<float>(y, p));
        if (trust <= 0.0f) continue;
        const float field_x = (static_cast<float>(x) + 0.5f) * across - 0.5f;
        trust *= between<float>(how.evened.clear, field_x, field_y, grid.round);
        const float weight = how.sight.weight(trust, facing, px_per_mm);
        // The best of several glaring photos is better than a hole; its trust is 0.
        const float share = std::pow(std::max(weight, 1e-4f * facing), how.power) + 1e-30f;
        const auto light = between<cv::Vec3f>(field, field_x, field_y, grid.round);
        const cv::Vec3b tone = part.colour.at<cv::Vec3b>(y, p);
        cv::Vec3f& colour = sums.colour.at<cv::Vec3f>(y, x);
        for (int c = 0; c < 3; ++c) {
          colour[c] +=
              share *
              ((static_cast<float>(tone[c]) / 255.0f + kDark) * std::exp(-light[c]) - kDark);
        }
        sums.weight.at<float>(y, x) += share;
        float& best = sums.best.at<float>(y, x);
        sums.trust.at<float>(y, x) = std::max(sums.trust.at<float>(y, x), trust);
        if (weight <= best) continue;
        best = weight;
        sums.steep.at<float>(y, x) = std::acos(std::min(1.0f, facing)) * 180.0f / 3.14159265f;
      }
    });
  });
}

Unrolled picture_of(const FaceGrid& grid, Sums& sums) {
  Unrolled out;
  out.round = grid.round;
  out.px_per_across = grid.px_per_across;
  out.px_per_along = grid.px_per_along;
  const cv::Size size(grid.columns, grid.rows);
  cv::Mat seen = sums.weight > 0.0f;
  cv::Mat grey(size, CV_32FC1, cv::Scalar(0));
  out.colour = cv::Mat(size, CV_8UC3, cv::Scalar(225, 225, 225));
  parallel_for(static_cast<std::size_t>(grid.rows), [&](std::size_t row) {
    const int y = static_cast<int>(row);
    for (int x = 0; x < grid.columns; ++x) {
      const float weight = sums.weight.at<float>(y, x);
      if (weight <= 0.0f) continue;
      const cv::Vec3f c = sums.colour.at<cv::Vec3f>(y, x) * (1.0f / weight);
      // Rec. 709.
      grey.at<float>(y, x) = std::max(0.0f, 0.0722f * c[0] + 0.7152f * c[1] + 0.2126f * c[2]);
      for (int k = 0; k < 3; ++k) {
        out.colour.at<cv::Vec3b>(y, x)[k] = cv::saturate_cast<std::uint8_t>(c[k] * 255.0f);
      }
    }
  });
  sums.colour.release();
  // Near flat base coat: over the wide mean, times the mean of all.
  cv::Mat weight;
  seen.convertTo(weight, CV_32FC1, 1.0 / 255.0);
  const double mean = cv::mean(grey, seen)[0];
  cv::Mat wide = smooth_where(grey, weight, kEvenMm * grid.px_per_mm(), grid.round);
  cv::max(wide, 1e-3, wide);
  cv::divide(grey, wide, out.light, mean);
  out.light.setTo(mean, ~seen);
  cv::min(out.light, 1.0, out.light);
  out.trust = sums.trust;
  out.steep = sums.steep;
  return out;
}

double share_of(const cv::Mat& mask) {
  return static_cast<double>(cv::countNonZero(mask)) / static_cast<double>(mask.total());
}

// Gains, and what each photo shows, from the coarse pictures.
std::vector<PhotoShare> shares(const std::vector<FacePhoto>& photos,
                               const std::vector<CoarsePhoto>& coarse,
                               const std::vector<EvenedPhoto>& evened,
                               const std::vector<FaceNet>& nets) {
  cv::Mat best = cv::Mat::zeros(coarse[0].weight.size(), CV_32FC1);
  for (const CoarsePhoto& photo : coarse) cv::max(best, photo.weight, best);
  std::vector<PhotoShare> out;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    PhotoShare share;
    share.photo = photos[i].name;
    const cv::Vec3f gain = evened[i].gain;
    share.gain = std::exp(static_cast<double>(gain[0] + gain[1] + gain[2]) / 3.0);
    const cv::Mat seen = coarse[i].weight > 0.0f;
    share.seen = share_of(seen);
    share.best = share_of(seen & (coarse[i].weight >= best));
    if (share.seen > 0.0) {
      share.glare = share_of(seen & (evened[i].clear < 0.5f)) / share.seen;
    }
    float facing = 0.0f;
    for (const NetNode& node : nets[i].nodes) {
      if (node.facing <= facing) continue;
      facing = node.facing;
      share.blur_mm =
          std::hypot(photos[i].blur_px, kLeastBlurPx) / static_cast<double>(node.px_per_mm);
    }
    out.push_back(share);
  }
  return out;
}

}  // namespace

double PhotoSight::blur_mm(cv::Point at) const {
  return std::hypot(blur_px, kLeastBlurPx) /
         static_cast<double>(std::max(1e-3f, px_per_mm.at<float>(at) * facing.at<float>(at)));
}

void FusePhotosOptions::validate() const {
  require_between(px_per_mm, 1.0, 20.0, "unrolled picture's scale", "px per mm");
  require_between(most_mega_px, 0.1, 100.0, "unrolled picture's size", "million px");
  require_between(steepest_deg, 45.0, 82.0, "steepest view", "°");
  require_between(best_wins, 1.0, 16.0, "power of the best view", "");
}

FusedFace fuse_photos(const StandingFace& face,
                      const std::vector<FacePhoto>& photos,
                      const FusePhotosOptions& options,
                      const Progress& progress) {
  options.validate();
  if (photos.empty()) {
    throw InputError({.file = {},
                      .line = {},
                      .found = "there are no photos of the face",
                      .expected = "one or more",
                      .remedy = "photograph the piece on its mat"});
  }
  const Surface& surface = *face.surface;
  const double area = surface.area_mm2();
  const double px_per_mm =
      std::min(options.px_per_mm, std::sqrt(options.most_mega_px * 1e6 / area));
  const FaceGrid coarse_grid = face_grid(surface, std::min(kCoarsePxPerMm, px_per_mm));
  FusedFace out;
  std::vector<Sight> sights;
  std::vector<CoarsePhoto> coarse;
  std::vector<FaceNet> nets;
  for (const FacePhoto& photo : photos) {
    report(progress,
           "evening photos",
           0.4 * static_cast<double>(coarse.size()) / static_cast<double>(photos.size()));
    sights.emplace_back(options, photo.blur_px);
    nets.push_back(face_net(face, coarse_grid, photo));
    out.sights.emplace_back();
    coarse.push_back(
        coarse_photo(coarse_grid, nets.back(), photo, sights.back(), out.sights.back()));
  }
  const std::vector<EvenedPhoto> evened =
      even_photos(coarse, coarse_grid.px_per_mm(), coarse_grid.round);
  for (std::size_t i = 0; i < photos.size(); ++i) out.sights[i].clear = evened[i].clear;
  out.photos = shares(photos, coarse, evened, nets);
  coarse.clear();
  nets.clear();

  const FaceGrid grid = face_grid(surface, px_per_mm);
  Sums sums(cv::Size(grid.columns, grid.rows));
  for (std::size_t i = 0; i < photos.size(); ++i) {
    report(progress,
           "unrolling photos",
           0.4 + 0.6 * static_cast<double>(i) / static_cast<double>(photos.size()));
    const FaceNet net = face_net(face, grid, photos[i]);
    add_part({grid, evened[i], sights[i], static_cast<float>(options.best_wins)},
             part_of_photo(grid, net, photos[i].picture),
             sums);
  }
  out.seen = share_of(sums.trust > 0.0f);
  if (out.seen <= 0.0) {
    throw InputError({.file = photos.front().name,
                      .line = {},
                      .found = fmt::format("none of {} photos shows the face", photos.size()),
                      .expected = "one that does",
                      .remedy = "stand the piece on the mat's circle and take it from the side"});
  }
  out.picture = picture_of(grid, sums);
  return out;
}

}  // namespace underdraw
