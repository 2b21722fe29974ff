#include "piece/shrinkage.h"

#include <cmath>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

TEST(Shrinkage, StepsAreComposedAndNotAdded) {
  // Digitalfire reference library, note on shrinkage: 6.25 % dry and 6.66 % fired are 12.5 %, not
  // 12.9 %; in double precision 12.493750 %.
  const Shrinkage clay{6.25, 6.66, 0.0};
  const double total = 1.0 - clay.factor(ClayStage::wet, ClayStage::glazed);
  EXPECT_NEAR(100.0 * total, 12.493750, 1e-9);
  EXPECT_NEAR(100.0 * total, 12.5, 0.05);
}

TEST(Shrinkage, AgreesWithTheThreeRatiosOfABar) {
  // ASTM C326 terms: S_d = (L_p - L_d)/L_p, S_f = (L_d - L_f)/L_d, S_t = (L_p - L_f)/L_p, all in
  // percent; a 102 mm bar that dries to 96.3 and fires to 90.1 mm.
  const double plastic = 102.0, dry = 96.3, fired = 90.1;
  const Shrinkage clay{100.0 * (plastic - dry) / plastic, 100.0 * (dry - fired) / dry, 0.0};
  EXPECT_NEAR(plastic * clay.factor(ClayStage::wet, ClayStage::dry), dry, 1e-12);
  EXPECT_NEAR(plastic * clay.factor(ClayStage::wet, ClayStage::bisque), fired, 1e-12);
  EXPECT_NEAR(fired * clay.factor(ClayStage::bisque, ClayStage::wet), plastic, 1e-12);
}

TEST(Shrinkage, EnlargesByOneOverWhatIsLeft) {
  // 12 % -> 1.1363636, 12.5 % -> 1.1428571 (1 / (1 - S)).
  EXPECT_NEAR(
      (Shrinkage{12.0, 0.0, 0.0}.factor(ClayStage::glazed, ClayStage::wet)), 1.1363636, 5e-8);
  EXPECT_NEAR(
      (Shrinkage{0.0, 12.5, 0.0}.factor(ClayStage::glazed, ClayStage::wet)), 1.1428571, 5e-8);
}

TEST(Shrinkage, EveryRoundTripAndEveryDetourGivesTheSame) {
  const Shrinkage clay{6.0, 1.0, 5.5};
  for (int a = 0; a < 5; ++a) {
    for (int b = 0; b < 5; ++b) {
      for (int via = 0; via < 5; ++via) {
        const auto [from, to, between] = std::tuple{
            static_cast<ClayStage>(a), static_cast<ClayStage>(b), static_cast<ClayStage>(via)};
        EXPECT_NEAR(
            clay.factor(from, between) * clay.factor(between, to), clay.factor(from, to), 1e-14);
      }
    }
  }
  EXPECT_NEAR(clay.factor(ClayStage::wet, ClayStage::leather_hard), std::sqrt(0.94), 1e-15);
}

TEST(Shrinkage, AStepThatIsNotKnownIsRefusedOnlyWhenItIsNeeded) {
  const Shrinkage clay{{}, {}, 5.5};
  EXPECT_NEAR(clay.factor(ClayStage::bisque, ClayStage::glazed), 0.945, 1e-15);
  EXPECT_THROW(clay.factor(ClayStage::dry, ClayStage::glazed), OptionError);
  EXPECT_THROW((Shrinkage{-1.0, 0.0, 0.0}.factor(ClayStage::dry, ClayStage::dry)), OptionError);
  EXPECT_THROW((Shrinkage{std::nan(""), 0.0, 0.0}.validate()), OptionError);
}

TEST(Clay, SaysWhatIsStillToComeInWords) {
  const Clay clay{{6.0, 1.0, 5.5}, ClayStage::dry, ClayStage::bisque};
  // 1 / 0.945 = 1.0582; tape at dry, lines at bisque: 0.99.
  EXPECT_EQ(clay.explained(),
            "measured dry, lines go on bisque: tape lengths x 0.9900; still to come: glaze 5.5 % = "
            "5.50 % in all, so finished sizes x 1.0582");
  EXPECT_NEAR(clay.finished_from_measured(), 0.99 * 0.945, 1e-15);
}

TEST(Clay, ListsTheSizesThatThePieceMayHave) {
  const Clay clay{{6.0, 1.0, 5.5}, ClayStage::dry, ClayStage::bisque};
  const std::vector<double> sizes = clay.sizes_from_transfer();
  ASSERT_EQ(sizes.size(), 5U);
  EXPECT_EQ(sizes[0], 1.0);
  EXPECT_NEAR(sizes[1], 0.945, 1e-15);              // glazed
  EXPECT_NEAR(sizes[2], 1.0 / 0.99, 1e-15);         // dry
  EXPECT_NEAR(sizes[4], 1.0 / 0.99 / 0.94, 1e-14);  // wet
  const Clay unknown{{{}, {}, 5.5}, ClayStage::bisque, ClayStage::bisque};
  EXPECT_EQ(unknown.sizes_from_transfer(), (std::vector<double>{1.0, 0.945}));
  const Clay still{{0.0, 0.0, 0.0}, ClayStage::bisque, ClayStage::bisque};
  EXPECT_EQ(still.sizes_from_transfer(), std::vector<double>{1.0});
}

TEST(ClayStage, NamesReadBack) {
  for (int i = 0; i < 5; ++i) {
    const auto stage = static_cast<ClayStage>(i);
    EXPECT_EQ(clay_stage_named(name_of(stage)), stage);
  }
  EXPECT_FALSE(clay_stage_named("Bisque").has_value());
}

}  // namespace
}  // namespace underdraw
