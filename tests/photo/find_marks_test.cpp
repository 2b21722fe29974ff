#include "photo/find_marks.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "photo/draw_code.h"
#include "photo/jar_photos.h"
#include "support/seeded.h"

namespace underdraw::test {
namespace {

struct Misses {
  double rms_px = 0.0;
  double median_px = 0.0;
  double worst_px = 0.0;
};

// Of the corners found, against where the truth has them; each coordinate.
Misses misses(const FoundMarks& found, const Shot& shot) {
  Misses out;
  double sum = 0.0;
  std::vector<double> all;
  for (const FoundCorner& corner : found.corners) {
    const Vec2 due = px_from_mat(shot.camera, shot.pose, {corner.mat.x, corner.mat.y, 0.0}).value();
    const Vec2 d = corner.px - due;
    sum += dot(d, d);
    out.worst_px = std::max(out.worst_px, length(d));
    all.push_back(length(d));
  }
  std::nth_element(
      all.begin(), all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2), all.end());
  out.median_px = all[all.size() / 2];
  out.rms_px = std::sqrt(sum / (2.0 * static_cast<double>(found.corners.size())));
  return out;
}

std::string complaint_of(const cv::Mat& grey, const FindMarksOptions& options = {}) {
  try {
    find_marks(grey, options);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

Shot near_shot(double elevation_deg = 35.0, int longer_px = 1280) {
  HandHeld how;
  how.elevation_deg = elevation_deg;
  how.longer_px = longer_px;
  how.distance_mm = 430.0;
  return hand_held(how);
}

// The few that the jar half hides may be farther off: what they say of themselves is less sure.
TEST(FindMarks, FindsCornersWithinATenthOfAPixelRoundAJar) {
  const PhotoMaker maker(jar_scene());
  const Shot shot = near_shot();
  const FoundMarks found = find_marks(maker.grey_photo(shot));
  EXPECT_EQ(found.mat, &mat_layout("A4", MatForm::round));
  EXPECT_GE(found.corners.size(), 36U);
  EXPECT_LT(misses(found, shot).median_px, 0.08);
  EXPECT_LT(misses(found, shot).worst_px, 1.2);
}

TEST(FindMarks, WorksWithHalfTheMatCoveredAndGlareOnTheRest) {
  Scene scene = jar_scene();
  scene.covers = {{{-140.0, -160.0}, {0.0, 160.0}, {0.3f, 0.3f, 0.35f}}};
  scene.glare = {{{70.0, -80.0}, 25.0, 1.5}};
  const PhotoMaker maker(scene);
  const Shot shot = near_shot();
  const FoundMarks found = find_marks(maker.grey_photo(shot));
  EXPECT_GE(found.corners.size(), 12U);
  EXPECT_LT(misses(found, shot).worst_px, 0.7);
}

TEST(FindMarks, WorksBlurredAndShaken) {
  const PhotoMaker maker(jar_scene());
  Shot shot = near_shot();
  const double sharp_px = find_marks(maker.grey_photo(shot)).blur_px;
  shot.blur_px = 1.4;
  shot.shake_px = 3.0;
  shot.noise = 0.02;
  const FoundMarks found = find_marks(maker.grey_photo(shot));
  EXPECT_GE(found.corners.size(), 20U);
  EXPECT_LT(misses(found, shot).rms_px, 0.25);
  EXPECT_GT(found.blur_px, 1.4 * sharp_px);
}

TEST(FindMarks, WorksHoweverThePhotoIsTurned) {
  const PhotoMaker maker(jar_scene());
  const cv::Mat upright = maker.grey_photo(near_shot());
  const FoundMarks first = find_marks(upright);
  for (const auto turn :
       {cv::ROTATE_90_CLOCKWISE, cv::ROTATE_180, cv::ROTATE_90_COUNTERCLOCKWISE}) {
    cv::Mat turned;
    cv::rotate(upright, turned, turn);
    const FoundMarks found = find_marks(turned);
    EXPECT_GE(found.corners.size() + 4, first.corners.size());
    for (const FoundCorner& a : found.corners) {
      for (const FoundCorner& b : first.corners) {
        if (a.saddle != b.saddle) continue;
        const Vec2 due = turn == cv::ROTATE_180 ? Vec2{upright.cols - b.px.x, upright.rows - b.px.y}
                         : turn == cv::ROTATE_90_CLOCKWISE ? Vec2{upright.rows - b.px.y, b.px.x}
                                                           : Vec2{b.px.y, upright.cols - b.px.x};
        EXPECT_LT(distance(a.px, due), 0.6);
      }
    }
  }
}

// The strip of a 12-megapixel photo that the mat takes at this height.
TEST(FindMarks, WorksFromTwelveDegreesAtTwelveMegapixels) {
  const PhotoMaker maker(jar_scene());
  Shot shot = near_shot(12.0, 4032);
  shot.samples = 1;
  shot.camera.height_px = 1300;
  shot.camera.centre_px.y = 550.0;
  const FoundMarks found = find_marks(maker.grey_photo(shot));
  EXPECT_GE(found.corners.size(), 30U);
  EXPECT_LT(misses(found, shot).rms_px, 0.2);
}

TEST(FindMarks, SaysWhichMatAPhotoShowsAndRefusesAnother) {
  Scene scene;
  scene.mat.paper = "Letter";
  scene.mat.tile_mm = Vec2{100.0, 100.0};
  const PhotoMaker maker(scene);
  Shot shot = near_shot(60.0);
  shot.samples = 1;
  const cv::Mat grey = maker.grey_photo(shot);
  EXPECT_EQ(find_marks(grey).mat, &mat_layout("Letter", MatForm::tile));
  const std::string complaint =
      complaint_of(grey, {.photo = "p1.jpg", .expected = &mat_layout("A4", MatForm::round)});
  EXPECT_NE(complaint.find("p1.jpg: was taken on mat Letter tile (expected mat A4)"),
            std::string::npos)
      << complaint;
}

TEST(FindMarks, RefusesAPhotoWithoutAMat) {
  Scene scene = jar_scene();
  scene.with_mat = false;
  const PhotoMaker maker(scene);
  Shot shot = near_shot();
  shot.samples = 1;
  EXPECT_NE(complaint_of(maker.grey_photo(shot)).find("shows no mark of a photo mat"),
            std::string::npos);
  EXPECT_NE(complaint_of(cv::Mat(30, 40, CV_8UC1, cv::Scalar(200))).find("shows no mark"),
            std::string::npos);
}

TEST(FindMarks, RefusesTooFewMarks) {
  Scene scene = jar_scene();
  scene.covers = {{{-140.0, -100.0}, {140.0, 160.0}, {0.3f, 0.3f, 0.35f}},
                  {{-140.0, -160.0}, {60.0, 160.0}, {0.3f, 0.3f, 0.35f}}};
  const PhotoMaker maker(scene);
  const std::string complaint = complaint_of(maker.grey_photo(near_shot()));
  EXPECT_NE(complaint.find("of the mat that can be read (expected 3 or more)"), std::string::npos)
      << complaint;
}

// The right codes in the wrong places: somebody else's print.
TEST(FindMarks, RefusesMarksThatDoNotLieAsTheyArePrinted) {
  cv::Mat page(1000, 1400, CV_8UC1, cv::Scalar(235));
  Dice dice(8);
  for (int i = 0; i < 24; ++i) {
    const CodeCells cells = code_cells((i * 19) % 50);
    const int left = 60 + (i % 6) * 220;
    const int top = 60 + (i / 6) * 230;
    for (int y = 0; y < 105; ++y) {
      for (int x = 0; x < 105; ++x) {
        if (cells[static_cast<std::size_t>(y / 15)][static_cast<std::size_t>(x / 15)]) {
          page.at<std::uint8_t>(top + y, left + x) = 20;
        }
      }
    }
  }
  const std::string complaint = complaint_of(page);
  EXPECT_NE(complaint.find("lie as they do on it"), std::string::npos) << complaint;
}

}  // namespace
}  // namespace underdraw::test
