#include "repeat/row_fit.h"

#include <cmath>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

// Fit round a body: n = floor(C / (w + g_min)), gap = C / n - w, by hand for five bodies; the last
// column is the gap when n must be even. Row 4 divides exactly
// and must not lose a copy to rounding.
struct BodyCase {
  double around, width, least_gap;
  int n;
  double gap;
  int even_n;
  double even_gap;
};
const BodyCase kBodies[] = {
    {251.3274, 30, 5, 7, 5.9039143, 6, 11.8879000},
    {251.3274, 42, 3, 5, 8.2654800, 4, 20.8318500},
    {314.1593, 28, 4, 9, 6.9065889, 8, 11.2699125},
    {200, 25, 0, 8, 0.0, 8, 0.0},
    {263, 18.5, 6.5, 10, 7.8, 10, 7.8},
};

TEST(FitRow, CountsAndGapsRoundABody) {
  for (const BodyCase& body : kBodies) {
    const RowFit fit = fit_row({body.around, {body.width}, body.least_gap});
    EXPECT_EQ(fit.repeats, body.n) << body.around;
    EXPECT_NEAR(fit.gap_mm, body.gap, 5e-8) << body.around;
  }
}

TEST(FitRow, AMirroredPairKeepsTheCountEven) {
  for (const BodyCase& body : kBodies) {
    const RowFit fit = fit_row({body.around, {body.width, body.width}, body.least_gap});
    EXPECT_EQ(2 * fit.repeats, body.even_n) << body.around;
    EXPECT_EQ(fit.centres_mm.size(), static_cast<std::size_t>(body.even_n));
    EXPECT_NEAR(fit.gap_mm, body.even_gap, 5e-8) << body.around;
  }
}

TEST(FitRow, WholeQuotientsAreNotLostToRounding) {
  // (n (w + g)) / (w + g) is n, whatever the last bit says.
  int below = 0;
  for (int n = 1; n <= 60; ++n) {
    for (double w = 7.1; w < 40.0; w += 3.3) {
      const double g = w / 7.0;
      const double around = n * w + n * g;
      if (std::floor(around / (w + g)) < n) ++below;
      EXPECT_EQ(fit_row({around, {w}, g}).repeats, n);
    }
  }
  EXPECT_GT(below, 0);  // otherwise this would test nothing
}

TEST(FitRow, EveryGapIsTheSameOverTheSeamTooForUnequalCopies) {
  const std::vector<double> widths = {31.0, 12.5, 22.75};
  const RowFit fit = fit_row({700.0, widths, 4.0});
  ASSERT_EQ(fit.repeats, 8);  // 700 / 78.25 = 8.95
  for (std::size_t i = 0; i < fit.centres_mm.size(); ++i) {
    const std::size_t next = (i + 1) % fit.centres_mm.size();
    const double turn = next == 0 ? 700.0 : 0.0;
    const double gap =
        fit.centres_mm[next] + turn - widths[next % 3] / 2 - fit.centres_mm[i] - widths[i % 3] / 2;
    EXPECT_NEAR(gap, fit.gap_mm, 1e-10);
  }
  EXPECT_NEAR(fit.centres_mm.front() - 31.0 / 2, fit.gap_mm / 2, 1e-12);
}

TEST(FitRow, ATaperThatWouldOverlapGetsFewerCopies) {
  // C 188.5, w 28: seven copies would overlap by 1.0714 mm, so there are six with 3.4167 mm.
  const RowFit fit = fit_row({188.5, {28}, 0.0});
  EXPECT_EQ(fit.repeats, 6);
  EXPECT_NEAR(fit.gap_mm, 3.4167, 5e-5);
}

TEST(FitRow, SaysWhenNothingFits) {
  EXPECT_EQ(fit_row({100, {98}, 3}).repeats, 0);
  EXPECT_EQ(fit_row({100, {97}, 3}).repeats, 1);
  EXPECT_EQ(fit_row({100, {}, 3}).repeats, 0);
}

TEST(FitRow, RefusesWhatIsNoLength) {
  EXPECT_THROW(fit_row({std::nan(""), {10}, 3}), OptionError);
  EXPECT_THROW(fit_row({100, {0}, 3}), OptionError);
  EXPECT_THROW(fit_row({100, {10}, -1}), OptionError);
  EXPECT_THROW(fit_row({5000, {0.001}, 0}), OptionError);
}

}  // namespace
}  // namespace underdraw
