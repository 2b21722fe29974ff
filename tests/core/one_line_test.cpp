// Source: ECMA-48 for what a terminal obeys; RFC 3629 for where a character ends.
#include "core/one_line.h"

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

TEST(OneLine, TakesOutWhatATerminalWouldObey) {
  EXPECT_EQ(one_line("kelp\r\n\x1b[2J\x07"), "kelp   [2J ");
  EXPECT_EQ(one_line("a\x7f\xC2\x9Bz"), "a   z");
  EXPECT_EQ(one_line(std::string("a\0b", 3)), "a b");
}

TEST(OneLine, LeavesLettersOfAllAlphabetsAsTheyAre) {
  const std::string words = "Möwe, Réka, 貝 – “knot” £5 Â";
  EXPECT_EQ(one_line(words), words);
}

TEST(Shortened, CutsBetweenCharacters) {
  EXPECT_EQ(shortened("Möwe", 5), "Möwe");
  EXPECT_EQ(shortened("Möwe", 2), "M…");
  EXPECT_EQ(shortened("Möwe", 3), "Mö…");
}

TEST(Complaint, IsOneLineThatAPersonReadsWhateverIsQuoted) {
  const std::string long_word(100'000, 'k');
  const Complaint complaint{.file = "a\nb\x1b[31m.toml",
                            .line = 3,
                            .found = "style is '" + long_word + "'",
                            .expected = "band",
                            .remedy = "did you mean 'band'?"};
  const std::string text = complaint.text();
  EXPECT_LT(text.size(), 2000U);
  EXPECT_TRUE(text.starts_with("a b [31m.toml:3: style is 'kkk")) << text.substr(0, 60);
  EXPECT_TRUE(text.ends_with("… (expected band); did you mean 'band'?"));
}

}  // namespace
}  // namespace underdraw
