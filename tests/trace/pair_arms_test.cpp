#include "trace/pair_arms.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

// An arm that comes in from `deg`, seen from `meeting`, and stops `away` px before it.
Arm arm_from(Vec2 meeting, double deg, double away) {
  Arm out;
  const Vec2 outward = Affine::turn_deg(deg) * Vec2{1.0, 0.0};
  out.at = meeting + outward * away;
  out.inward = -outward;
  return out;
}

cv::Mat all_ink() { return cv::Mat(80, 80, CV_32F, cv::Scalar(1.0)); }

constexpr double kRadius = 4.0;  // px, of the blot
const Vec2 kMeeting{40.0, 40.0};

TEST(PairArms, BothLinesOfACrossingRunThrough) {
  for (const double angle : {30.0, 60.0, 90.0}) {
    const std::vector<Arm> arms = {arm_from(kMeeting, 0.0, 6.0),
                                   arm_from(kMeeting, angle, 6.0),
                                   arm_from(kMeeting, 180.0, 6.0),
                                   arm_from(kMeeting, 180.0 + angle, 6.0)};
    EXPECT_EQ(pair_arms(arms, kRadius, all_ink()).partner, (std::vector<int>{2, 3, 0, 1}))
        << angle << " deg";
  }
}

TEST(PairArms, TwoLinesThatComeToAThirdAtAnAngleOfTheirOwnEndThere) {
  // A rib from above and one from below, which would have to turn by 50 degrees.
  const std::vector<Arm> arms = {arm_from(kMeeting, 0.0, 6.0),
                                 arm_from(kMeeting, 180.0, 6.0),
                                 arm_from(kMeeting - Vec2{2.0, 0.0}, -40.0, 6.0),
                                 arm_from(kMeeting + Vec2{2.0, 0.0}, 90.0, 6.0)};
  EXPECT_EQ(pair_arms(arms, kRadius, all_ink()).partner, (std::vector<int>{1, 0, -1, -1}));
}

TEST(PairArms, NoLineRunsOnOverBarePaper) {
  const std::vector<Arm> arms = {arm_from(kMeeting, 0.0, 15.0), arm_from(kMeeting, 180.0, 15.0)};
  EXPECT_EQ(pair_arms(arms, kRadius, all_ink()).partner, (std::vector<int>{1, 0}));
  cv::Mat broken = all_ink();
  broken.colRange(34, 46).setTo(0.0);
  EXPECT_EQ(pair_arms(arms, kRadius, broken).partner, (std::vector<int>{-1, -1}));
  cv::Mat nicked = all_ink();  // a crumb is missing
  nicked.colRange(40, 42).setTo(0.0);
  EXPECT_EQ(pair_arms(arms, kRadius, nicked).partner, (std::vector<int>{1, 0}));
}

}  // namespace
}  // namespace underdraw
