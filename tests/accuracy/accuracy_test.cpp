// Holds what tracing has reached on every page of the accuracy suite.
//
// Each bound is what was measured when it was set, with a small margin. When tracing gets better,
// print new rows with `accuracy --bounds` (the margins are stated in score_table.cpp), look at
// what changed, and put them here. A change that makes a row worse needs its reason in the commit.
#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "accuracy/accuracy_page.h"
#include "accuracy/lines_of.h"
#include "accuracy/score_page.h"
#include "trace/trace_page.h"

namespace underdraw::test {
namespace {

// At most, but for recall, precision, junctions, uncut, strokes_from and dots: at least. A share
// of something that a page has none of is not looked at.
struct Bounds {
  const char* page;
  double away_um, all_um, recall, precision, junctions, split, uncut, spurs_per_m, gaps_per_m,
      pieces, strokes_from, strokes_to, tangent_deg, dots, width_um;
};

// clang-format off
const std::vector<Bounds> kBounds = {
    // page, away µm, all µm, recall, precision, junctions, X split, X uncut, spurs/m, gaps/m,
    //   pieces, strokes from, to, tangent°, dots, width µm
    {"rigging-ink-300", 11.5, 12.6, 0.996, 0.997, 0.77, 0.14, 0.84, 0.3, 2.9, 1.76, 0.95, 1.02, 1.6, 0.99, 18},
    {"shells-ink-300", 12.1, 18.5, 0.996, 0.997, 0.65, 0.01, 0.90, 0.3, 7.2, 2.04, 0.91, 0.98, 2.1, 0.99, 25},
    {"rope-ink-600", 9.7, 12.3, 0.997, 0.998, 0.95, 0.01, 0.95, 0.3, 0.3, 1.50, 0.89, 0.96, 0.9, 0.99, 23},
    {"thistle-pencil-300", 28.8, 34.2, 0.970, 0.981, 0.59, 0.01, 0.86, 1.8, 24.2, 2.66, 1.18, 1.25, 6.0, 0.00, 66},
    {"kelp-pencil-300", 18.9, 22.2, 0.994, 0.983, 0.60, 0.01, 0.00, 0.3, 1.5, 2.02, 0.74, 0.81, 2.8, 0.00, 59},
    {"sea-pink-pencil-300", 18.8, 27.2, 0.985, 0.993, 0.65, 0.01, 0.97, 1.2, 2.9, 1.94, 0.89, 0.96, 3.0, 0.76, 87},
    {"feather-pencil-600", 20.8, 26.5, 0.984, 0.982, 0.67, 0.01, 0.97, 1.9, 4.9, 2.72, 0.95, 1.02, 3.7, 0.00, 77},
    {"starfish-pencil-300", 17.8, 19.4, 0.989, 0.910, 0.46, 0.01, 0.00, 3.8, 2.1, 2.97, 0.97, 1.03, 2.6, 0.80, 76},
    {"harbour-sheet-300", 21.3, 25.6, 0.989, 0.992, 0.71, 0.01, 0.88, 1.2, 6.6, 2.54, 0.92, 0.99, 3.8, 0.84, 68},
    {"scales-faint-300", 16.7, 21.9, 0.993, 0.997, 0.61, 0.01, 0.89, 0.3, 5.5, 2.42, 0.98, 1.05, 2.7, 0.91, 58},
    {"thistle-faint-300", 27.8, 31.3, 0.972, 0.965, 0.57, 0.01, 0.91, 3.0, 18.2, 2.26, 1.15, 1.22, 6.9, 0.00, 71},
    {"buoy-faint-600", 11.4, 20.5, 0.992, 0.995, 0.71, 0.01, 0.97, 1.5, 0.3, 1.62, 0.84, 0.91, 1.6, 0.89, 66},
    {"sea-pink-phone-300", 19.3, 27.8, 0.987, 0.991, 0.69, 0.01, 0.97, 0.3, 3.1, 1.80, 0.77, 0.84, 2.9, 0.75, 83},
    {"scallop-phone-300", 13.3, 19.2, 0.995, 0.997, 0.92, 0.01, 0.93, 0.3, 0.3, 2.69, 0.91, 0.98, 2.1, 0.00, 79},
};
// clang-format on

class Reached : public testing::TestWithParam<Bounds> {};

TEST_P(Reached, IsHeld) {
  const Bounds& bounds = GetParam();
  const std::vector<PageRecipe> recipes = accuracy_pages();
  const auto recipe = std::find_if(
      recipes.begin(), recipes.end(), [&](const PageRecipe& r) { return r.name == bounds.page; });
  ASSERT_NE(recipe, recipes.end()) << "no such page: " << bounds.page;
  const AccuracyPage page = recipe->draw();
  const PageScore score = score_page(lines_of(trace_page(page_as_read(page))), page.truth);
  EXPECT_LE(1e3 * score.rms_away_mm, bounds.away_um);
  EXPECT_LE(1e3 * score.rms_all_mm, bounds.all_um);
  EXPECT_GE(score.recall, bounds.recall);
  EXPECT_GE(score.precision, bounds.precision);
  EXPECT_GE(score.junction_share().value_or(1.0), bounds.junctions);
  EXPECT_LE(score.split_share().value_or(0.0), bounds.split);
  EXPECT_GE(score.uncut_share().value_or(1.0), bounds.uncut);
  EXPECT_LE(score.spurs_per_m(), bounds.spurs_per_m);
  EXPECT_LE(score.gaps_per_m(), bounds.gaps_per_m);
  EXPECT_LE(score.piece_ratio(), bounds.pieces);
  EXPECT_GE(score.line_ratio(), bounds.strokes_from);
  EXPECT_LE(score.line_ratio(), bounds.strokes_to);
  EXPECT_LE(score.tangent_rms_deg, bounds.tangent_deg);
  EXPECT_GE(score.dot_share().value_or(1.0), bounds.dots);
  EXPECT_LE(1e3 * score.width_error_mm, bounds.width_um);
}

INSTANTIATE_TEST_SUITE_P(Pages,
                         Reached,
                         testing::ValuesIn(kBounds),
                         [](const testing::TestParamInfo<Bounds>& page) {
                           std::string name = page.param.page;
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

TEST(AccuracySuite, HasBoundsForEachOfItsPages) {
  std::vector<std::string> drawn, bounded;
  for (const PageRecipe& recipe : accuracy_pages()) drawn.push_back(recipe.name);
  for (const Bounds& bounds : kBounds) bounded.push_back(bounds.page);
  EXPECT_EQ(bounded, drawn);
}

}  // namespace
}  // namespace underdraw::test
