// Holds what tracing has reached on every page of the accuracy suite.
//
// Each bound is what was measured when it was set, with a small margin. When tracing gets better,
// print new rows with `accuracy --bounds` (the margins are stated in score_table.cpp), look at
// what changed, and put them here. A change that makes a row worse needs its reason in the commit.
#include <algorithm>
#include <ostream>
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

std::ostream& operator<<(std::ostream& out, const Bounds& bounds) { return out << bounds.page; }

// clang-format off
const std::vector<Bounds> kBounds = {
    // page, away µm, all µm, recall, precision, junctions, X split, X uncut, spurs/m, gaps/m,
    //   pieces, strokes from, to, tangent°, dots, width µm
    {"rigging-ink-300", 10.8, 11.5, 0.996, 0.998, 0.85, 0.01, 0.97, 0.3, 0.3, 1.72, 0.93, 1.00, 1.2, 0.99, 19},
    {"shells-ink-300", 8.4, 15.9, 0.995, 0.997, 0.91, 0.01, 0.90, 0.3, 0.3, 1.91, 0.82, 0.89, 1.5, 0.99, 24},
    {"rope-ink-600", 9.7, 12.3, 0.997, 0.998, 0.95, 0.01, 0.95, 0.3, 0.3, 1.50, 0.89, 0.96, 0.9, 0.99, 23},
    {"thistle-pencil-300", 29.3, 33.1, 0.977, 0.984, 0.72, 0.01, 0.85, 2.5, 16.0, 2.62, 1.27, 1.34, 5.0, 0.00, 68},
    {"kelp-pencil-300", 18.4, 22.0, 0.992, 0.996, 0.69, 0.01, 0.00, 0.3, 2.7, 2.10, 0.74, 0.81, 2.6, 0.99, 53},
    {"sea-pink-pencil-300", 19.4, 27.3, 0.989, 0.994, 0.80, 0.01, 0.97, 0.3, 0.3, 1.94, 0.94, 1.01, 2.7, 0.99, 89},
    {"feather-pencil-600", 20.8, 26.5, 0.984, 0.982, 0.67, 0.01, 0.97, 1.9, 2.6, 2.72, 0.95, 1.02, 3.7, 0.00, 77},
    {"starfish-pencil-300", 17.8, 19.4, 0.994, 0.969, 0.46, 0.01, 0.00, 3.8, 2.1, 2.90, 0.97, 1.03, 2.6, 0.91, 77},
    {"harbour-sheet-300", 20.5, 25.1, 0.990, 0.994, 0.80, 0.02, 0.83, 1.0, 3.7, 2.52, 0.94, 1.01, 3.6, 0.96, 69},
    {"scales-faint-300", 11.2, 18.9, 0.993, 0.997, 0.76, 0.01, 0.89, 0.3, 0.3, 2.27, 0.95, 1.02, 2.2, 0.94, 59},
    {"thistle-faint-300", 25.8, 30.2, 0.977, 0.982, 0.70, 0.01, 0.78, 1.3, 13.0, 2.35, 1.22, 1.29, 3.8, 0.00, 69},
    {"buoy-faint-600", 13.2, 21.2, 0.994, 0.996, 0.86, 0.01, 0.97, 0.3, 0.3, 1.61, 0.87, 0.94, 2.2, 0.99, 66},
    {"letters-pencil-300", 14.3, 19.1, 0.989, 0.997, 0.88, 0.01, 0.84, 1.3, 2.2, 1.55, 0.78, 0.85, 2.3, 0.00, 61},
    {"script-pencil-300", 18.9, 22.4, 0.983, 0.995, 0.70, 0.06, 0.79, 0.3, 4.2, 1.43, 1.34, 1.41, 3.2, 0.00, 63},
    {"characters-pencil-300", 16.8, 22.9, 0.980, 0.996, 0.97, 0.01, 0.89, 1.2, 0.3, 1.22, 0.91, 0.98, 2.3, 0.00, 52},
    {"characters-brush-300", 11.3, 19.8, 0.987, 0.995, 0.92, 0.01, 0.85, 0.3, 1.4, 1.50, 0.90, 0.97, 2.1, 0.00, 111},
    {"sea-pink-phone-300", 19.6, 27.7, 0.989, 0.991, 0.75, 0.01, 0.97, 3.2, 0.3, 1.75, 0.78, 0.85, 2.7, 0.99, 83},
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

// Else what is missing above would be the measuring's fault and not the tracing's.
TEST(AccuracySuite, ScoresTheDrawnLinesThemselvesAsFaultless) {
  for (const PageRecipe& recipe : accuracy_pages()) {
    const Linework drawn = recipe.draw().truth;
    const PageScore score = score_page(drawn, drawn);
    for (const Fault& fault : score.faults) {
      ADD_FAILURE() << recipe.name << ": fault " << static_cast<int>(fault.kind) << " at "
                    << fault.at.x << ", " << fault.at.y;
    }
    EXPECT_EQ(score.junctions_false, 0) << recipe.name;
  }
}

TEST(AccuracySuite, HasBoundsForEachOfItsPages) {
  std::vector<std::string> drawn, bounded;
  for (const PageRecipe& recipe : accuracy_pages()) drawn.push_back(recipe.name);
  for (const Bounds& bounds : kBounds) bounded.push_back(bounds.page);
  EXPECT_EQ(bounded, drawn);
}

}  // namespace
}  // namespace underdraw::test
