#include "photo/find_saddle.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "support/seeded.h"

namespace underdraw {
namespace {

struct Drawn {
  Vec2 at{40.3, 38.8};
  Vec2 right{7.0, 0.8}, up{1.1, -3.0};  // px per mm
  bool rising = true;
  double blur_px = 1.0;
  double tone = 1.0 / 2.2;   // of the camera
  double noise = 0.0;        // grey levels
  double light_slope = 0.0;  // per px
  double dark = 0.03, light = 0.8;
  unsigned seed = 1;
};

// Four fields by 8 x 8 rays a pixel, blurred in linear light, then toned.
cv::Mat drawn(const Drawn& how) {
  cv::Mat big(80 * 8, 80 * 8, CV_32F);
  const Affine mm_from_px =
      Affine{how.right.x, how.up.x, how.at.x, how.right.y, how.up.y, how.at.y}.inverse();
  for (int y = 0; y < big.rows; ++y) {
    for (int x = 0; x < big.cols; ++x) {
      const Vec2 px{(x + 0.5) / 8.0, (y + 0.5) / 8.0};
      const Vec2 mm = mm_from_px * px;
      const bool same = (mm.x > 0.0) == (mm.y > 0.0);
      const double value = (same == how.rising ? how.dark : how.light);
      big.at<float>(y, x) = static_cast<float>(value * (1.0 + how.light_slope * (px.x - 40.0)));
    }
  }
  cv::Mat small;
  cv::resize(big, small, {80, 80}, 0, 0, cv::INTER_AREA);
  if (how.blur_px > 0.0) cv::GaussianBlur(small, small, {}, how.blur_px);
  cv::Mat grey(small.size(), CV_8UC1);
  for (int y = 0; y < 80; ++y) {
    for (int x = 0; x < 80; ++x) {
      const double tone =
          255.0 * std::pow(small.at<float>(y, x), how.tone) +
          how.noise * test::bell(how.seed * 100000U + static_cast<unsigned>(80 * y + x));
      grey.at<std::uint8_t>(y, x) = cv::saturate_cast<std::uint8_t>(tone);
    }
  }
  return grey;
}

SaddleGuess guess_of(const Drawn& how, Vec2 off = {1.7, -1.1}) {
  SaddleGuess guess;
  guess.px = how.at + off;
  guess.px_per_right = how.right;
  guess.px_per_up = how.up;
  guess.rising = how.rising;
  return guess;
}

TEST(FindSaddle, IsNotMovedByBlurOrTone) {
  for (const double blur : {0.5, 1.0, 2.0}) {
    for (const double tone : {1.0, 1.0 / 2.2}) {
      for (const bool rising : {true, false}) {
        Drawn how;
        how.blur_px = blur;
        how.tone = tone;
        how.rising = rising;
        const auto fit = find_saddle(drawn(how), guess_of(how));
        ASSERT_TRUE(fit);
        EXPECT_LT(distance(fit->px, how.at), 0.03) << blur << " " << tone << " " << rising;
      }
    }
  }
}

TEST(FindSaddle, SaysHowSureItIsUnderNoise) {
  double ratio = 0.0;
  for (unsigned seed = 1; seed <= 30; ++seed) {
    Drawn how;
    how.noise = 12.0;
    how.tone = 1.0;
    how.seed = seed;
    how.at = {40.0 + 0.033 * seed, 39.0 + 0.021 * seed};
    const auto fit = find_saddle(drawn(how), guess_of(how));
    ASSERT_TRUE(fit);
    const Vec2 d = fit->px - how.at;
    EXPECT_LT(length(d), 0.4);
    ratio += dot(d, d) / (2.0 * fit->sd_px * fit->sd_px) / 30.0;
  }
  EXPECT_GT(ratio, 0.5);
  EXPECT_LT(ratio, 2.0);
}

TEST(FindSaddle, IsHardlyMovedByLightThatFalls) {
  Drawn how;
  how.light_slope = 0.006;  // half as bright again across the window
  const auto fit = find_saddle(drawn(how), guess_of(how));
  ASSERT_TRUE(fit);
  EXPECT_LT(distance(fit->px, how.at), 0.05);
}

TEST(FindSaddle, FindsNothingWhereThereIsNone) {
  Drawn how;
  SaddleGuess guess = guess_of(how);
  guess.rising = !guess.rising;  // dark where it should be light
  EXPECT_FALSE(find_saddle(drawn(how), guess));
  EXPECT_FALSE(find_saddle(cv::Mat(80, 80, CV_8UC1, cv::Scalar(128)), guess_of(how)));
  Drawn faint;  // glare
  faint.dark = 0.79;
  EXPECT_FALSE(find_saddle(drawn(faint), guess_of(faint)));
  cv::Mat edge(80, 80, CV_8UC1, cv::Scalar(30));  // the edge of something that lies on it
  edge.colRange(40, 80).setTo(200);
  EXPECT_FALSE(find_saddle(edge, guess_of(how)));
  Drawn outside;
  outside.at = {-3.0, 40.0};
  EXPECT_FALSE(find_saddle(drawn(how), guess_of(outside)));
}

}  // namespace
}  // namespace underdraw
