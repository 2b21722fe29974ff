// How often random pages are told apart as they were meant. What they must reach is a little below
// what was measured; seeds that nothing was tuned on, so that it says something about other pages.
#include <iostream>

#include <gtest/gtest.h>

#include "scan/judge_layout.h"

namespace underdraw::test {
namespace {

constexpr unsigned kFirst = 5000;
constexpr unsigned kPages = 60;

TEST(RandomLayouts, AreToldApartAsTheyWereMeant) {
  int pages_right = 0;
  LayoutVerdict sum;
  for (unsigned seed = kFirst; seed < kFirst + kPages; ++seed) {
    const Layout layout = random_layout(seed);
    const LayoutVerdict verdict = judge_layout(layout);
    if (verdict.all_right) ++pages_right;
    if (!verdict.all_right || verdict.captions_wrong > 0) {
      std::cout << layout.what << ": " << verdict.right << " of " << verdict.sketches
                << " right, captions taken where there is none " << verdict.captions_wrong << '\n';
    }
    sum.sketches += verdict.sketches;
    sum.right += verdict.right;
    sum.parts += verdict.parts;
    sum.parts_left_out += verdict.parts_left_out;
    sum.captions += verdict.captions;
    sum.captions_found += verdict.captions_found;
  }
  std::cout << pages_right << " of " << kPages << " pages, " << sum.right << " of " << sum.sketches
            << " sketches right; " << sum.parts_left_out << " of " << sum.parts
            << " parts left out; " << sum.captions_found << " of " << sum.captions
            << " captions found\n";
  ASSERT_GT(sum.sketches, 300);
  ASSERT_GT(sum.captions, 150);
  // Measured: 58 pages, 506 of 508 sketches, 2 of 597 parts, 246 of 249 captions. Over 920 pages
  // with other seeds, some of which the bounds of the code were set on, 95 % of the pages were
  // right, 97 % of the sketches, 98 % of the captions, and 0.2 % of the parts were left out.
  EXPECT_GE(pages_right, 57);
  EXPECT_GE(sum.right, 0.99 * sum.sketches);
  EXPECT_LE(sum.parts_left_out, 0.005 * sum.parts);
  EXPECT_GE(sum.captions_found, 0.98 * sum.captions);
}

}  // namespace
}  // namespace underdraw::test
