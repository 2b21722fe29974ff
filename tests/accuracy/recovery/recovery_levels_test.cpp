// Holds what the recovery suite reached: one test a scene, of those that differ most.
#include <algorithm>

#include <gtest/gtest.h>

#include "accuracy/recovery/recovery_scenes.h"

namespace underdraw::test {
namespace {

class Recovery : public testing::TestWithParam<RecoveryScene> {};

TEST_P(Recovery, ReachesTheGoals) {
  const RecoveryScore score = recover_scene(GetParam());
  EXPECT_LE(score.lines.median_mm, 0.5);
  EXPECT_LE(score.lines.p95_mm, 1.0);
  EXPECT_GE(score.lines.recall, 0.97);
  EXPECT_GE(score.lines.precision, 0.97);
  EXPECT_GE(static_cast<double>(score.found), 0.98 * static_cast<double>(score.drawn));
  EXPECT_GT(score.drawn, 0U);
  EXPECT_EQ(score.invented, 0U);
}

std::string name_of(const testing::TestParamInfo<RecoveryScene>& info) {
  std::string name;
  for (const char c : info.param.name) {
    if (std::isalnum(static_cast<unsigned char>(c))) name += c;
  }
  return name;
}

std::vector<RecoveryScene> held_scenes() {
  std::vector<RecoveryScene> scenes = recovery_scenes();
  std::erase_if(scenes, [](const RecoveryScene& scene) { return !scene.held; });
  return scenes;
}

INSTANTIATE_TEST_SUITE_P(Scenes, Recovery, testing::ValuesIn(held_scenes()), name_of);

}  // namespace
}  // namespace underdraw::test
