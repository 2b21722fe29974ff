// Lines of the bird (tests/support/bird_photos.h) carried from the photo before over the photo
// after, held against where rays put the drawn lines in the photo after. Goals: those of a
// free-form piece, recall and precision at 0.5 mm of 0.85 and 0.90.
#include "recover/carry_lines.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "recover/align_views.h"
#include "support/bird_photos.h"
#include "support/seeded.h"

namespace underdraw {
namespace {

bool in_blots(FacePoint p) { return test::smooth_noise(p.across / 22.0, p.along / 22.0, 9) > 0.0; }

cv::Mat away_from(const std::vector<Vec2>& points, cv::Size size) {
  cv::Mat none(size, CV_8UC1, cv::Scalar(255));
  for (const Vec2 p : points) {
    if (p.x >= 0 && p.y >= 0 && p.x < size.width && p.y < size.height) {
      none.at<uchar>(static_cast<int>(p.y), static_cast<int>(p.x)) = 0;
    }
  }
  cv::Mat out;
  cv::distanceTransform(none, out, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  return out;
}

double at(const cv::Mat& away, Vec2 p) {
  return static_cast<double>(away.at<float>(std::clamp(static_cast<int>(p.y), 0, away.rows - 1),
                                            std::clamp(static_cast<int>(p.x), 0, away.cols - 1)));
}

double share(std::size_t part, std::size_t all) {
  return static_cast<double>(part) / static_cast<double>(std::max<std::size_t>(all, 1));
}

TEST(CarryLines, DrawsWhatIsCoveredWhereItWas) {
  test::BirdDay day{.covered = in_blots, .stands_after = {{6.0, -4.0}, 3.0}, .another_table = true};
  day.large_copies = true;
  day.before.longer_px = 1600;
  day.after.longer_px = 1600;
  const test::BirdPhotos photos = test::photograph_bird(day);
  const FittedView fitted =
      align_views({"drawn.jpg", photos.before}, {"covered.jpg", photos.after});
  const CarriedLines carried =
      carry_lines(photos.before, photos.after, fitted.map, {.unsure_px = fitted.left_out_95_px});

  std::vector<Vec2> drawn;
  std::vector<bool> under;
  std::vector<bool> sure;
  for (const std::vector<FacePoint>& line : photos.lines) {
    for (const FacePoint& p : line) {
      const auto before = photos.px_before(p);
      const auto after = photos.px_after(p);
      if (!before || !after) continue;
      drawn.push_back(*after);
      under.push_back(in_blots(p));
      sure.push_back(fitted.map.trusts(*before));
    }
  }
  std::vector<Vec2> found;
  std::size_t right = 0;
  const cv::Mat from_drawn = away_from(drawn, photos.after.size());
  const double half_mm = 0.5 * photos.px_per_mm_after({85.0, 80.0});
  for (const CarriedLine& line : carried.lines) {
    ASSERT_EQ(line.px.size(), line.covered.size());
    for (const Vec2 p : line.px) {
      found.push_back(p);
      right += at(from_drawn, p) <= half_mm ? 1 : 0;
    }
  }
  const cv::Mat from_found = away_from(found, photos.after.size());
  std::size_t asked = 0;
  std::size_t reached = 0;
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    if (!sure[i] || !under[i]) continue;
    ++asked;
    reached += at(from_found, drawn[i]) <= half_mm ? 1 : 0;
  }
  std::printf("lines %.1f px wide; of %zu covered points %.3f found, of %zu found %.3f right\n",
              carried.line_px,
              asked,
              share(reached, asked),
              found.size(),
              share(right, found.size()));
  EXPECT_GE(share(reached, asked), 0.85);
  EXPECT_GE(share(right, found.size()), 0.90);

  // What is covered, as told, against the coat itself.
  std::size_t agree = 0;
  std::size_t told = 0;
  std::vector<Vec2> hidden;
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    if (under[i]) hidden.push_back(drawn[i]);
  }
  const cv::Mat from_hidden = away_from(hidden, photos.after.size());
  for (const CarriedLine& line : carried.lines) {
    for (std::size_t i = 0; i < line.px.size(); ++i) {
      if (at(from_drawn, line.px[i]) > half_mm) continue;
      ++told;
      agree += line.covered[i] == (at(from_hidden, line.px[i]) <= half_mm) ? 1 : 0;
    }
  }
  std::printf("%.3f of %zu told rightly to be covered or not\n", share(agree, told), told);
  EXPECT_GE(share(agree, told), 0.9);
}

TEST(CarryLines, ReadsNothingWhereTheMapIsNotTrusted) {
  cv::Mat photo(600, 800, CV_8UC3, cv::Scalar(150, 160, 170));
  cv::line(photo, {100, 300}, {700, 320}, {40, 40, 40}, 3, cv::LINE_AA);
  cv::GaussianBlur(photo, photo, {}, 0.8);
  for (int y = 0; y < photo.rows; ++y) {
    for (int x = 0; x < photo.cols; ++x) {
      const float grain =
          2.0f * test::bell(static_cast<std::uint64_t>(y) * 800U + static_cast<std::uint64_t>(x));
      photo.at<cv::Vec3b>(y, x) += cv::Vec3b::all(static_cast<uchar>(std::max(0.0f, 4.0f + grain)));
    }
  }
  ViewMap map(cv::Matx33d::eye(), photo.size(), photo.size());
  EXPECT_TRUE(carry_lines(photo, photo, map).lines.empty());
  map.trust_between({{{50, 50}, {}}, {{400, 50}, {}}, {{400, 550}, {}}, {{50, 550}, {}}});
  const CarriedLines carried = carry_lines(photo, photo, map);
  EXPECT_GT(carried.line_px, 3.0);
  EXPECT_LT(carried.line_px, 7.0);  // the lens widens it
  ASSERT_FALSE(carried.lines.empty());
  for (const CarriedLine& line : carried.lines) {
    for (std::size_t i = 0; i < line.px.size(); ++i) {
      EXPECT_LT(line.px[i].x, 404.0);
      EXPECT_NEAR(line.px[i].y, 300.5 + (line.px[i].x - 100.5) / 30.0, 0.6);
      EXPECT_FALSE(line.covered[i]);
    }
  }
}

TEST(CarryLines, SplitsALineWhereTheCoatBegins) {
  const std::vector<PhotoLine> lines =
      photo_lines({{{{1, 1}, {2, 1}, {3, 1}}, {true, false, false}}});
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_TRUE(lines[0].covered);
  EXPECT_EQ(lines[0].px, (std::vector<Vec2>{{1, 1}, {2, 1}}));
  EXPECT_FALSE(lines[1].covered);
  EXPECT_EQ(lines[1].px, (std::vector<Vec2>{{2, 1}, {3, 1}}));
}

}  // namespace
}  // namespace underdraw
