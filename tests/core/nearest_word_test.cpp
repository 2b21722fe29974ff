#include "core/nearest_word.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

const std::vector<std::string> kKnown = {"trace", "vary", "place", "sheet", "proof"};

TEST(NearestWord, FindsADroppedAnAddedAChangedAndASwappedLetter) {
  EXPECT_EQ(nearest_word("trac", kKnown), "trace");
  EXPECT_EQ(nearest_word("sheeet", kKnown), "sheet");
  EXPECT_EQ(nearest_word("plece", kKnown), "place");
  EXPECT_EQ(nearest_word("vray", kKnown), "vary");
}

TEST(NearestWord, SaysNothingWhenNothingIsNear) {
  EXPECT_EQ(nearest_word("kiln", kKnown), std::nullopt);
  EXPECT_EQ(nearest_word("", kKnown), std::nullopt);
  EXPECT_EQ(nearest_word("trace", {}), std::nullopt);
}

}  // namespace
}  // namespace underdraw
