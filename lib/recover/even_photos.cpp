#include "recover/even_photos.h"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr int kRounds = 6;         // of gains, then of fields: each brings photos to their mean
constexpr double kFieldMm = 12.0;  // light differs smoothly between photos
constexpr double kGlareMm = 1.2;  // blur before looking: lines that lie a little apart are no glare
constexpr float kGlareFrom = 0.10f;  // lighter than the others, log of tone
constexpr float kGlareFull = 0.25f;
constexpr float kOthers = 0.05f;  // weight of the others below which nothing is known of glare

// Weighted sums of what all photos show, each less its field.
struct Together {
  cv::Mat sum, weight;

  Together(const std::vector<CoarsePhoto>& photos,
           const std::vector<EvenedPhoto>& evened,
           const std::vector<cv::Mat>& weights) {
    sum = cv::Mat::zeros(photos[0].weight.size(), CV_32FC3);
    weight = cv::Mat::zeros(photos[0].weight.size(), CV_32FC1);
    for (std::size_t i = 0; i < photos.size(); ++i) {
      sum += weighted(photos[i].log_tone - evened[i].field, weights[i]);
      weight += weights[i];
    }
  }

  static cv::Mat weighted(const cv::Mat& values, const cv::Mat& weight) {
    cv::Mat three, out;
    cv::merge(std::vector<cv::Mat>{weight, weight, weight}, three);
    cv::multiply(values, three, out);
    return out;
  }

  // What the others show where photo i is, less what it shows; and how much is known of that.
  cv::Mat others_less(const CoarsePhoto& photo, const cv::Mat& field, const cv::Mat& own) const {
    cv::Mat rest = weight - own;
    cv::max(rest, 1e-6, rest);
    const cv::Mat shown = photo.log_tone - field;
    cv::Mat three;
    cv::merge(std::vector<cv::Mat>{rest, rest, rest}, three);
    cv::Mat mean;
    cv::divide(sum - weighted(shown, own), three, mean);
    return mean - shown;
  }
};

cv::Mat overlap(const cv::Mat& own, const cv::Mat& all) {
  cv::Mat rest = all - own;
  cv::max(rest, 0.0, rest);
  cv::Mat out;
  cv::min(own, rest, out);
  return out;
}

cv::Vec3f mean_where(const cv::Mat& values, const cv::Mat& weight) {
  const cv::Scalar sum = cv::sum(Together::weighted(values, weight));
  const double total = cv::sum(weight)[0];
  if (total < 1.0) return {};
  return {static_cast<float>(sum[0] / total),
          static_cast<float>(sum[1] / total),
          static_cast<float>(sum[2] / total)};
}

void find_gains(const std::vector<CoarsePhoto>& photos,
                const std::vector<cv::Mat>& weights,
                std::vector<EvenedPhoto>& evened) {
  for (int round = 0; round < 2 * kRounds; ++round) {
    const Together together(photos, evened, weights);
    cv::Vec3f mean;
    for (std::size_t i = 0; i < photos.size(); ++i) {
      const cv::Mat off = together.others_less(photos[i], evened[i].field, weights[i]);
      evened[i].gain -= 0.5f * mean_where(off, overlap(weights[i], together.weight));
      mean += evened[i].gain;
    }
    mean *= 1.0f / static_cast<float>(photos.size());
    for (EvenedPhoto& photo : evened) {
      photo.gain -= mean;
      photo.field.setTo(cv::Scalar(photo.gain[0], photo.gain[1], photo.gain[2]));
    }
  }
}

void find_fields(const std::vector<CoarsePhoto>& photos,
                 const std::vector<cv::Mat>& weights,
                 double px_per_mm,
                 bool round_face,
                 std::vector<EvenedPhoto>& evened) {
  for (int round = 0; round < kRounds; ++round) {
    const Together together(photos, evened, weights);
    for (std::size_t i = 0; i < photos.size(); ++i) {
      const cv::Mat off = together.others_less(photos[i], evened[i].field, weights[i]);
      // A little weight everywhere keeps a photo as it is where no other shows the place.
      const cv::Mat step = smooth_where(
          off, overlap(weights[i], together.weight) + 1e-4, kFieldMm * px_per_mm, round_face);
      evened[i].field -= 0.5 * step;
    }
  }
}

void find_glare(const std::vector<CoarsePhoto>& photos,
                const std::vector<cv::Mat>& weights,
                double px_per_mm,
                bool round_face,
                std::vector<EvenedPhoto>& evened) {
  const Together together(photos, evened, weights);
  for (std::size_t i = 0; i < photos.size(); ++i) {
    cv::Mat off = together.others_less(photos[i], evened[i].field, weights[i]);
    cv::Mat known = together.weight - weights[i];
    cv::threshold(known, known, kOthers, 1.0, cv::THRESH_BINARY);
    cv::Mat seen;
    cv::threshold(photos[i].weight, seen, 0.0, 1.0, cv::THRESH_BINARY);
    known = known.mul(seen);
    off = smooth_where(off, known + 1e-6, kGlareMm * px_per_mm, round_face);
    for (int y = 0; y < off.rows; ++y) {
      const auto* less = off.ptr<cv::Vec3f>(y);
      const auto* is_known = known.ptr<float>(y);
      const auto* white = photos[i].white.ptr<float>(y);
      auto* clear = evened[i].clear.ptr<float>(y);
      for (int x = 0; x < off.cols; ++x) {
        // A lamp's light is in all colours.
        const float lighter = -std::max({less[x][0], less[x][1], less[x][2]});
        const float glare =
            is_known[x] > 0.0f ? (lighter - kGlareFrom) / (kGlareFull - kGlareFrom) : 0.0f;
        clear[x] = std::min(1.0f - white[x], std::clamp(1.0f - glare, 0.0f, 1.0f));
      }
    }
    cv::erode(evened[i].clear,
              evened[i].clear,
              cv::getStructuringElement(cv::MORPH_ELLIPSE, cv::Size(3, 3)));
  }
}

}  // namespace

cv::Mat smooth_where(const cv::Mat& values, const cv::Mat& weight, double sigma_px, bool round) {
  // Wide blurs are done on a smaller picture.
  const int shrink = std::max(1, static_cast<int>(sigma_px / 4.0));
  cv::Mat three = weight;
  if (values.channels() == 3) cv::merge(std::vector<cv::Mat>{weight, weight, weight}, three);
  cv::Mat sum, total;
  cv::multiply(values, three, sum);
  total = weight;
  if (shrink > 1) {
    const cv::Size small(std::max(1, sum.cols / shrink), std::max(1, sum.rows / shrink));
    cv::resize(sum, sum, small, 0, 0, cv::INTER_AREA);
    cv::resize(total, total, small, 0, 0, cv::INTER_AREA);
  }
  const double sigma = sigma_px / shrink;
  const int pad = std::min(sum.cols, static_cast<int>(std::ceil(3.0 * sigma)));
  const int border = round ? cv::BORDER_WRAP : cv::BORDER_CONSTANT;
  const auto blurred = [&](const cv::Mat& from) {
    cv::Mat wide, out;
    cv::copyMakeBorder(from, wide, 0, 0, pad, pad, border);
    cv::GaussianBlur(wide, out, {0, 0}, sigma, sigma, cv::BORDER_CONSTANT);
    return cv::Mat(out.colRange(pad, pad + from.cols).clone());
  };
  sum = blurred(sum);
  total = blurred(total);
  cv::max(total, 1e-9, total);
  if (values.channels() == 3) {
    cv::merge(std::vector<cv::Mat>{total, total, total}, three);
  } else {
    three = total;
  }
  cv::Mat out;
  cv::divide(sum, three, out);
  if (out.size() != values.size()) {
    // Through the seam, so that its two sides meet.
    cv::Mat wide;
    cv::copyMakeBorder(out, wide, 0, 0, 2, 2, round ? cv::BORDER_WRAP : cv::BORDER_REPLICATE);
    const double scale = static_cast<double>(values.cols) / out.cols;
    const int beside = static_cast<int>(std::lround(2.0 * scale));
    cv::resize(wide, wide, cv::Size(values.cols + 2 * beside, values.rows), 0, 0);
    out = wide.colRange(beside, beside + values.cols).clone();
  }
  return out;
}

std::vector<EvenedPhoto> even_photos(const std::vector<CoarsePhoto>& photos,
                                     double px_per_mm,
                                     bool round) {
  std::vector<EvenedPhoto> evened(photos.size());
  std::vector<cv::Mat> weights;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    evened[i].field = cv::Mat::zeros(photos[i].weight.size(), CV_32FC3);
    evened[i].clear = 1.0 - photos[i].white;
    weights.push_back(photos[i].weight.mul(evened[i].clear));
  }
  if (photos.size() < 2) return evened;
  for (int pass = 0; pass < 2; ++pass) {  // glare must not pull the light, so once more without it
    find_gains(photos, weights, evened);
    find_fields(photos, weights, px_per_mm, round, evened);
    find_glare(photos, weights, px_per_mm, round, evened);
    for (std::size_t i = 0; i < photos.size(); ++i) {
      weights[i] = photos[i].weight.mul(evened[i].clear);
    }
  }
  return evened;
}

}  // namespace underdraw
