// Source: the layout is the project's own; TOML 1.0 for what is TOML.
#include "io/points_file.h"

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

const std::string kGood = R"([[pair]]
before = "photos/drawn-1.jpg"
after = "covered-1.jpg"
points = [[410.5, 300, 418, 290], [930, 305, 940, 300],
          [420, 900, 431, 905], [915, 890, 922, 899]]
)";

TEST(PointsFile, ReadsPairsAndTheirPoints) {
  const std::vector<TappedPair> pairs = points_of_text(kGood, "points.toml");
  ASSERT_EQ(pairs.size(), 1u);
  EXPECT_EQ(pairs[0].before, "drawn-1.jpg");
  EXPECT_EQ(pairs[0].after, "covered-1.jpg");
  ASSERT_EQ(pairs[0].points.size(), 4u);
  EXPECT_EQ(pairs[0].points[0].before, (Vec2{410.5, 300.0}));
  EXPECT_EQ(pairs[0].points[3].after, (Vec2{922.0, 899.0}));
  EXPECT_EQ(pairs[0].line, 1);
}

TEST(PointsFile, AnEmptyFileNamesNoPairs) { EXPECT_TRUE(points_of_text("\n", "p").empty()); }

struct Refusal {
  const char* what;
  std::string from, to;
  int line;
  const char* says;
};

class PointsFileRefuses : public ::testing::TestWithParam<Refusal> {};

TEST_P(PointsFileRefuses, AndNamesTheLine) {
  const Refusal& refusal = GetParam();
  std::string text = kGood;
  const std::size_t at = text.find(refusal.from);
  ASSERT_NE(at, text.npos);
  text.replace(at, refusal.from.size(), refusal.to);
  try {
    points_of_text(text, "jug/points.toml");
    FAIL() << refusal.what;
  } catch (const InputError& error) {
    EXPECT_EQ(error.complaint().file, "jug/points.toml");
    EXPECT_EQ(error.complaint().line, refusal.line) << error.what();
    EXPECT_NE(std::string(error.what()).find(refusal.says), std::string::npos) << error.what();
  }
}

INSTANTIATE_TEST_SUITE_P(
    Mistakes,
    PointsFileRefuses,
    ::testing::Values(
        Refusal{"three numbers", "[930, 305, 940, 300]", "[930, 305, 940]", 4, "3 numbers"},
        Refusal{"three points", ", [915, 890, 922, 899]", "", 4, "3 points"},
        Refusal{"text", "[930, 305", "[\"930\", 305", 4, "text"},
        Refusal{"not a number", "410.5", "nan", 4, "nan"},
        Refusal{"a negative place", "410.5", "-1", 4, "-1"},
        Refusal{"one photo twice", "covered-1", "drawn-1", 3, "another photo"},
        Refusal{"no photo after", "after = \"covered-1.jpg\"\n", "", 1, "after"},
        Refusal{"a folder", "covered-1", "../covered-1", 3, "after"},
        Refusal{"a key unknown", "points =", "spots =", 4, "spots"},
        Refusal{"broken TOML", "[[pair]]", "[[pair]", 1, "TOML"},
        Refusal{"the same pair twice", "", kGood, 8, "line 1"}));

}  // namespace
}  // namespace underdraw
