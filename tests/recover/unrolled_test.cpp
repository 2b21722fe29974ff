// Source: own construction, no outside source.
#include "recover/unrolled.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

TEST(Unrolled, HeightsOfARoundFaceGrowFromTheBottomRow) {
  Unrolled face;
  face.light = cv::Mat(400, 720, CV_32FC1, cv::Scalar(0));
  face.round = true;
  face.px_per_across = 2.0;
  face.px_per_along = 10.0;
  EXPECT_EQ(face.px_from_face({90.0, 0.0}), (Vec2{180.0, 400.0}));
  EXPECT_EQ(face.px_from_face({0.0, 40.0}), (Vec2{0.0, 0.0}));
  EXPECT_EQ(face.face_from_px({180.0, 300.0}), (FacePoint{90.0, 10.0}));
}

TEST(Unrolled, AFlatFaceRunsDownLikeItsPicture) {
  Unrolled face;
  face.light = cv::Mat(400, 720, CV_32FC1, cv::Scalar(0));
  face.px_per_across = 10.0;
  face.px_per_along = 10.0;
  EXPECT_EQ(face.px_from_face({5.0, 7.0}), (Vec2{50.0, 70.0}));
  EXPECT_EQ(face.face_from_px({50.0, 70.0}), (FacePoint{5.0, 7.0}));
}

}  // namespace
}  // namespace underdraw
