#include "sheet/text_width.h"

#include <gtest/gtest.h>

namespace underdraw {
namespace {

TEST(TextWidth, GrowsWithTheSizeAndAddsUpOverLetters) {
  const double once = text_width_mm("Harbour", 3.0);
  EXPECT_NEAR(text_width_mm("Harbour", 6.0), 2.0 * once, 1e-12);
  EXPECT_NEAR(text_width_mm("HarbourHarbour", 3.0), 2.0 * once, 1e-12);
}

TEST(TextWidth, CountsLettersNotBytes) {
  EXPECT_LT(text_width_mm("ü", 3.0), 1.0 * 3.0);
  EXPECT_NEAR(text_width_mm("üü", 3.0), 2.0 * text_width_mm("ü", 3.0), 1e-12);
}

TEST(TextWidth, DamagedTextIsMeasuredAndNotRunPast) {
  EXPECT_GT(text_width_mm("a\xC3", 3.0), 0.0);
  EXPECT_GT(text_width_mm("\xF0\x9F", 3.0), 0.0);
}

TEST(TextBox, TurnsWithTheText) {
  const TextMark flat{"seam", {10, 10}, 2.0, Align::left, false, 0.0, {}};
  TextMark up = flat;
  up.turn_deg = -90.0;
  EXPECT_NEAR(text_box(up).height(), text_box(flat).width(), 1e-9);
  EXPECT_NEAR(text_box(up).max.y, 10.0, 1e-9);  // reads upwards from where it starts
}

TEST(FittedText, KeepsWhatFitsAndEndsInDots) {
  EXPECT_EQ(fitted_text("kelp", 100.0, 3.0, false), "kelp");
  const std::string cut = fitted_text("a very long name of a motif", 20.0, 3.0, false);
  EXPECT_LE(text_width_mm(cut, 3.0), 20.0);
  EXPECT_GT(text_width_mm(cut, 3.0), 14.0);
  EXPECT_EQ(cut.substr(cut.size() - 3), "…");
  EXPECT_EQ(fitted_text("kelp", 0.1, 3.0, false), "");
}

}  // namespace
}  // namespace underdraw
