#include <gtest/gtest.h>

#include "scan/judge_layout.h"
#include "scan/random_layouts.h"
#include "trace/trace_page.h"

namespace underdraw::test {
namespace {

// Two flowers with their names under them.
class NamedSketches : public testing::Test {
 protected:
  NamedSketches() {
    for (int i = 0; i < 2; ++i) {
      const Linework flower = moved(draw_flower(35.0, 4), {12.0 + 45.0 * i, 10.0});
      const Box box = flower.ink_box();
      const Linework name =
          write_words(i == 0 ? "sea pink" : "thrift", Hand::script, 4.5, static_cast<unsigned>(i));
      const double x = box.centre().x - name.ink_box().centre().x;
      flowers_.append(flower);
      names_.append(moved(name, {x, box.max.y + 3.0 - name.ink_box().min.y}));
    }
  }

  Page page_with(const Linework& lines) const {
    PencilOptions options;
    options.page_width_mm = 100.0;
    options.page_height_mm = 70.0;
    options.folds = options.smudges = 0;
    Page page = page_of(draw_pencil_page(lines, options));
    page.file = "thrift.png";
    return page;
  }

  Page named_page() const {
    Linework all = flowers_;
    all.append(names_);
    return page_with(all);
  }

  Linework flowers_;
  Linework names_;
};

double length_of(const TracedPage& traced) {
  double sum = 0.0;
  for (const TracedSketch& sketch : traced.sketches) sum += sketch.lines.length_mm();
  return sum;
}

TEST_F(NamedSketches, AreTracedWithTheirSketchAndNamedInAWarning) {
  const TracedPage kept = trace_page(named_page());
  ASSERT_EQ(kept.sketches.size(), 2U);
  const double flowers = length_of(trace_page(page_with(flowers_)));
  // Letters run into each other and are traced once where they do; measured 0.78.
  const double share = (length_of(kept) - flowers) / names_.length_mm();
  EXPECT_GT(share, 0.7);
  EXPECT_LT(share, 1.02);
  ASSERT_EQ(kept.captions.size(), 2U);
  EXPECT_EQ(kept.captions[1].sketch, 1U);
  ASSERT_EQ(kept.warnings.size(), 1U);
  EXPECT_NE(kept.warnings[0].find("thrift.png: page 1 has 2 captions at "), std::string::npos);
  EXPECT_NE(kept.warnings[0].find("captions skip leaves them out"), std::string::npos);
}

TEST_F(NamedSketches, LeftOutAreAsIfNeverWritten) {
  const TracedPage skipped = trace_page(named_page(), {.captions = Captions::skip});
  ASSERT_EQ(skipped.sketches.size(), 2U);
  EXPECT_TRUE(skipped.loose.empty());
  const TracedPage alone = trace_page(page_with(flowers_));
  EXPECT_NEAR(length_of(skipped) / length_of(alone), 1.0, 0.01);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_NEAR(skipped.sketches[i].box.max.y, alone.sketches[i].box.max.y, 0.1);
  }
  ASSERT_EQ(skipped.warnings.size(), 1U);
  EXPECT_NE(skipped.warnings[0].find("left out (captions keep traces them)"), std::string::npos);
}

}  // namespace
}  // namespace underdraw::test
