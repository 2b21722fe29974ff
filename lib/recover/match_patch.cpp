#include "recover/match_patch.h"

#include <algorithm>

#include <opencv2/imgproc.hpp>

namespace underdraw {
namespace {

constexpr double kHighPassMm = 2.5;
constexpr double kSoftMm = 0.2;
constexpr double kOwnMm = 1.2;  // the top itself, in which no other place is looked for
constexpr float kDark = 0.03f;  // added before the logarithm

// Offset of the top of a parabola through three values.
double top_of(float before, float here, float after) {
  const float bend = before - 2.0f * here + after;
  if (bend >= 0.0f) return 0.0;
  return std::clamp(static_cast<double>(0.5f * (before - after) / bend), -0.5, 0.5);
}

}  // namespace

cv::Mat fine_marks(const cv::Mat& tone, double px_per_mm) {
  cv::Mat light = tone + kDark;
  cv::max(light, 0.5f * kDark, light);
  cv::log(light, light);
  cv::Mat wide;
  cv::GaussianBlur(light, wide, {0, 0}, kHighPassMm * px_per_mm);
  cv::GaussianBlur(light, light, {0, 0}, kSoftMm * px_per_mm);
  cv::Mat marks = light - wide;
  cv::max(marks, -0.5, marks);  // what is black is no more than dark
  cv::min(marks, 0.5, marks);
  return marks;
}

PatchMatch match_patch(const cv::Mat& patch, const cv::Mat& around, double px_per_mm) {
  cv::Mat like;
  cv::matchTemplate(around, patch, like, cv::TM_CCOEFF_NORMED);
  cv::Point at;
  PatchMatch out;
  cv::minMaxLoc(like, nullptr, &out.like, nullptr, &at);
  out.shift_px = {static_cast<double>(at.x - like.cols / 2),
                  static_cast<double>(at.y - like.rows / 2)};
  if (at.x == 0 || at.y == 0 || at.x + 1 >= like.cols || at.y + 1 >= like.rows) {
    out.like = 0.0;
    return out;
  }
  const float here = like.at<float>(at);
  out.shift_px.x += top_of(like.at<float>(at.y, at.x - 1), here, like.at<float>(at.y, at.x + 1));
  out.shift_px.y += top_of(like.at<float>(at.y - 1, at.x), here, like.at<float>(at.y + 1, at.x));
  cv::circle(like, at, static_cast<int>(kOwnMm * px_per_mm), cv::Scalar(-1.0), cv::FILLED);
  cv::minMaxLoc(like, nullptr, &out.other);
  return out;
}

}  // namespace underdraw
