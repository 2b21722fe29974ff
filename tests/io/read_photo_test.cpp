// Photos made by libjpeg, libpng and libheif from pictures that are known.
#include "io/read_photo.h"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/photo_files.h"
#include "io/upright.h"
#include "io/write_jpeg.h"

namespace underdraw {
namespace {

using namespace testing_pages;

cv::Mat blue_first(const cv::Mat& rgb) {
  cv::Mat out;
  cv::cvtColor(rgb, out, cv::COLOR_RGB2BGR);
  return out;
}

TEST(ReadPhoto, GivesThePixelsOfAPng) {
  const TempFolder folder;
  write_png(folder.file("a.png"), colour_sketch(60, 40));
  const Photo photo = read_photo(folder.file("a.png"));
  EXPECT_EQ(largest_difference(photo.bgr, blue_first(colour_sketch(60, 40))), 0);
  EXPECT_EQ(photo.orientation, 1);
  EXPECT_EQ(photo.shrink, 1);
}

TEST(ReadPhoto, TellsTheOrientationAndLeavesThePixelsAsTheSensorSawThem) {
  const TempFolder folder;
  write_bytes(folder.file("a.jpg"), small_jpeg(3, {.orientation = 6}));
  const Photo photo = read_photo(folder.file("a.jpg"));
  EXPECT_EQ(photo.orientation, 6);
  EXPECT_EQ(photo.bgr.size(), small_picture(3).size());
}

TEST(ReadPhoto, ShrinksWhatIsLargerThanAsked) {
  const TempFolder folder;
  const cv::Mat large = colour_sketch(1210, 400);
  write_png(folder.file("a.png"), large);
  const Photo photo = read_photo(folder.file("a.png"), {.longest_px = 500});
  EXPECT_EQ(photo.shrink, 3);
  EXPECT_EQ(photo.bgr.cols, 404);
  cv::Mat grey;
  cv::cvtColor(large, grey, cv::COLOR_RGB2GRAY);
  write_png(folder.file("grey.png"), grey);
  EXPECT_EQ(read_photo(folder.file("grey.png"), {.longest_px = 500}).bgr.channels(), 3);
}

TEST(ReadPhoto, RefusesWhatIsNoWholePhoto) {
  const TempFolder folder;
  Bytes cut = small_jpeg(1);
  cut.resize(cut.size() / 2);
  write_bytes(folder.file("cut.jpg"), cut);
  write_bytes(folder.file("words.jpg"), {'w', 'o', 'r', 'd', 's'});
  EXPECT_THROW(read_photo(folder.file("cut.jpg")), InputError);
  EXPECT_THROW(read_photo(folder.file("words.jpg")), InputError);
  EXPECT_THROW(read_photo(folder.file("none.jpg")), InputError);
}

// A pixel's middle goes where the picture's turn brings it, for each of the eight orientations.
TEST(Upright, TurnsPointsAsItTurnsPictures) {
  cv::Mat stored = cv::Mat::zeros(3, 5, CV_8UC1);
  stored.at<uchar>(1, 3) = 255;
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const cv::Mat turned = upright(stored, orientation);
    const Vec2 at = upright_px({3.5, 1.5}, stored.size(), orientation);
    EXPECT_EQ(turned.at<uchar>(static_cast<int>(at.y), static_cast<int>(at.x)), 255) << orientation;
  }
}

TEST(WriteJpeg, IsReadBackAlmostAsItWas) {
  const TempFolder folder;
  const cv::Mat picture = blue_first(colour_sketch(120, 80));
  const std::string bytes = jpeg_of_picture(picture, 95);
  EXPECT_EQ(bytes, jpeg_of_picture(picture, 95));
  write_bytes(folder.file("a.jpg"), Bytes(bytes.begin(), bytes.end()));
  const cv::Mat back = read_photo(folder.file("a.jpg")).bgr;
  ASSERT_EQ(back.size(), picture.size());
  EXPECT_LT(cv::norm(back, picture, cv::NORM_L1) / static_cast<double>(picture.total() * 3), 6.0);
  EXPECT_THROW(jpeg_of_picture(cv::Mat()), OutputError);
  EXPECT_THROW(jpeg_of_picture(picture, 0), OptionError);
}

}  // namespace
}  // namespace underdraw
