// Letters of areas. No outside source: the names are the project's own.
#include "coats/area_name.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

TEST(AreaName, LettersGoOnAfterZ) {
  EXPECT_EQ(area_letter(0), "a");
  EXPECT_EQ(area_letter(25), "z");
  EXPECT_EQ(area_letter(26), "aa");
  EXPECT_EQ(area_letter(26 * 27 - 1), "zz");
}

TEST(AreaName, OnlyLettersBehindASpaceNameAnArea) {
  const auto area = area_of_motif("sea pink ab");
  ASSERT_TRUE(area);
  EXPECT_EQ(area->motif, "sea pink");
  EXPECT_EQ(area->letter, "ab");
  for (const char* none :
       {"thistle", "thistle ", " b", "thistle 2", "thistle Bb", "knot abc", ""}) {
    EXPECT_FALSE(area_of_motif(none)) << none;
  }
}

}  // namespace
}  // namespace underdraw
