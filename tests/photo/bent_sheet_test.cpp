#include "photo/bent_sheet.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "photo/sheet_errors.h"
#include "support/bent_paper.h"
#include "support/seeded.h"

namespace underdraw::test {
namespace {

// The truth: paper rolled out step by step (support/bent_paper.h), seen by a camera whose focal
// length, middle and bending the fit is not told.
class BentSheetTest : public ::testing::Test {
 protected:
  BentSheetTest() : sheet_(drawing_sheet({})) {}

  struct Look {
    double tilt_deg = 20.0;
    double noise_px = 0.2;
    double wider_mm = 0.04;
    std::vector<std::size_t> hidden = {};
  };

  std::vector<SheetPoint> points(const BentPaper& paper, const Look& look, Dice& dice) {
    camera_.width_px = 3000;
    camera_.height_px = 4000;
    camera_.focal_px = dice.uniform(0.66, 0.95) * 4000.0;
    camera_.centre_px = {1500.0 + dice.uniform(-40, 40), 2000.0 + dice.uniform(-40, 40)};
    camera_.k1 = dice.uniform(0.0, 0.1);
    camera_.k2 = -dice.uniform(0.0, 0.1);
    const double distance_mm = camera_.focal_px / 9.0;
    const double tilt = radians(look.tilt_deg);
    const double azimuth = radians(dice.uniform(0.0, 360.0));
    pose_ = CameraPose::looking({distance_mm * std::sin(tilt) * std::cos(azimuth),
                                 distance_mm * std::sin(tilt) * std::sin(azimuth),
                                 distance_mm * std::cos(tilt)},
                                {dice.uniform(-8, 8), dice.uniform(-8, 8), 0.0},
                                dice.uniform(-180, 180));
    std::vector<SheetPoint> out;
    for (std::size_t i = 0; i < sheet_.marks.size(); ++i) {
      if (std::count(look.hidden.begin(), look.hidden.end(), i) > 0) continue;
      const std::array<Vec2, 4> corners = sheet_.marks[i].corners();
      for (std::size_t k = 0; k < 4; ++k) {
        const Vec2 outward{k == 0 || k == 3 ? -1.0 : 1.0, k < 2 ? -1.0 : 1.0};
        const auto px = px_of(paper, corners[k] + outward * look.wider_mm);
        const double noise = look.noise_px * std::sqrt(3.0);  // of even chances
        out.push_back({corners[k],
                       *px + Vec2{dice.uniform(-noise, noise), dice.uniform(-noise, noise)},
                       outward});
      }
    }
    return out;
  }

  std::optional<Vec2> px_of(const BentPaper& paper, Vec2 sheet) const {
    return px_from_mat(camera_, pose_, paper.mat_from_sheet(sheet));
  }

  // Over a few bends, directions and cameras.
  SheetErrors worst(double bow_mm, const Look& look, int count = 6) {
    Dice dice(static_cast<unsigned>(11 + look.hidden.size()));
    SheetErrors worst;
    for (int i = 0; i < count; ++i) {
      const BentPaper paper(size(),
                            static_cast<BendShape>(i % 3),
                            bow_mm * dice.uniform(0.6, 1.0),
                            dice.uniform(0.0, 180.0));
      const auto fit = fit_bent_sheet(points(paper, look, dice), options());
      if (!fit) return {1e3, 1e3};
      const SheetErrors errors =
          sheet_errors(*fit, sheet_, [&](Vec2 p) { return px_of(paper, p); });
      worst.place_mm = std::max(worst.place_mm, errors.place_mm);
      worst.size_share = std::max(worst.size_share, errors.size_share);
    }
    RecordProperty("place_mm_" + std::to_string(look.hidden.size()),
                   std::to_string(worst.place_mm));
    RecordProperty("size_percent", std::to_string(100.0 * worst.size_share));
    return worst;
  }

  Vec2 size() const { return {sheet_.paper.width_mm, sheet_.paper.height_mm}; }
  static FitSheetOptions options() { return {3000, 4000, {210.0, 297.0}}; }

  DrawingSheet sheet_;
  Camera camera_;
  CameraPose pose_;
};

TEST_F(BentSheetTest, IsFoundFlatAndTiltedThoughTheLensIsUnknown) {
  for (const double tilt : {0.0, 35.0}) {
    const SheetErrors errors = worst(0.0, {.tilt_deg = tilt}, 6);
    EXPECT_LT(errors.place_mm, 0.08) << tilt;
    EXPECT_LT(errors.size_share, 0.0005) << tilt;
  }
}

TEST_F(BentSheetTest, IsFoundBentByFiveMillimetresInAnyDirection) {
  const SheetErrors errors = worst(5.0, {.tilt_deg = 30.0}, 12);
  EXPECT_LT(errors.place_mm, 0.1);
  EXPECT_LT(errors.size_share, 0.0006);
}

TEST_F(BentSheetTest, IsFoundWithCornersHidden) {
  EXPECT_LT(worst(5.0, {.hidden = {0}}).place_mm, 0.09);
  EXPECT_LT(worst(5.0, {.hidden = {3, 11}}).place_mm, 0.09);
  EXPECT_LT(worst(5.0, {.hidden = {0, 3}}).place_mm, 0.09);
  EXPECT_LT(worst(5.0, {.hidden = {0, 1}}).place_mm, 0.09);
}

TEST_F(BentSheetTest, LeavesOutAMarkThatIsElsewhere) {
  Dice dice(5);
  const BentPaper paper(size(), BendShape::arc, 4.0, 60.0);
  std::vector<SheetPoint> all = points(paper, {}, dice);
  for (std::size_t k = 20; k < 24; ++k) all[k].px += Vec2{35.0, -20.0};
  const auto fit = fit_bent_sheet(all, options());
  ASSERT_TRUE(fit);
  EXPECT_TRUE(fit->left_out[20] && fit->left_out[23]);
  EXPECT_EQ(fit->used, all.size() - 4);
  EXPECT_LT(sheet_errors(*fit, sheet_, [&](Vec2 p) { return px_of(paper, p); }).place_mm, 0.2);
}

TEST_F(BentSheetTest, TakesAScanAsOne) {
  std::vector<SheetPoint> scan;
  const Affine px_from_sheet = Affine::translate({30.0, 50.0}) * Affine::turn_deg(181.5) *
                               Affine{11.81, 0.0, 0.0, 0.0, 11.83, 0.0};
  for (const SheetMark& mark : sheet_.marks) {
    for (const Vec2 corner : mark.corners()) scan.push_back({corner, px_from_sheet * corner});
  }
  const auto fit = fit_bent_sheet(scan, options());
  ASSERT_TRUE(fit && fit->px_from_sheet);
  EXPECT_LT(distance(*fit->px_of({100.0, 200.0}), px_from_sheet * Vec2{100.0, 200.0}), 1e-6);
  EXPECT_NEAR(fit->px_per_mm({50.0, 50.0}), std::sqrt(11.81 * 11.83), 1e-6);
  // Seen in a mirror, it is no sheet.
  for (SheetPoint& p : scan) p.px.x = -p.px.x;
  const auto mirrored = fit_bent_sheet(scan, options());
  EXPECT_FALSE(mirrored && mirrored->px_from_sheet);
}

TEST_F(BentSheetTest, KeepsThePapersLengths) {
  SheetBend bend;
  bend.middle = {105.0, 148.5};
  bend.along_deg = 25.0;
  bend.tangent = {0.2, -0.15, 0.1, 0.05};
  for (const Vec2 way : {Vec2{0.1, 0.0}, Vec2{0.0, 0.1}, Vec2{0.07, 0.07}}) {
    for (const Vec2 at : {Vec2{10.0, 20.0}, Vec2{105.0, 148.5}, Vec2{200.0, 280.0}}) {
      const Vec3 d = bend.in_space(at + way) - bend.in_space(at - way);
      EXPECT_NEAR(length(d), 2.0 * length(way), 1e-6);
    }
  }
}

TEST_F(BentSheetTest, NeedsEightPoints) {
  EXPECT_FALSE(fit_bent_sheet({{{0, 0}, {1, 1}}, {{9, 9}, {90, 90}}}, options()));
}

}  // namespace
}  // namespace underdraw::test
