#include "accuracy/accuracy_page.h"

#include <cmath>
#include <set>

#include <gtest/gtest.h>

namespace underdraw::test {
namespace {

TEST(AccuracyPage, NamesAreUnique) {
  std::set<std::string> names;
  for (const PageRecipe& recipe : accuracy_pages()) {
    EXPECT_TRUE(names.insert(recipe.name).second) << recipe.name;
  }
  EXPECT_FALSE(names.empty());
}

TEST(AccuracyPage, ReadBackHasTheSameSizeAndResolution) {
  const AccuracyPage page = accuracy_pages().front().draw();
  const Page read = page_as_read(page);
  EXPECT_EQ(read.grey.size(), page.pixels.size());
  EXPECT_NEAR(read.dpi(), page.dpi, 0.01);
}

}  // namespace
}  // namespace underdraw::test
