// The sample page against the exact lines it was drawn from, as a PNG and as a scanner's PDF.
#include <gtest/gtest.h>

#include "io/read_pages.h"
#include "io/svg.h"
#include "support/compare_lines.h"
#include "trace/trace_page.h"

namespace underdraw {
namespace {

using test::compare_lines;
using test::LineAgreement;

const std::string kSample = UNDERDRAW_SOURCE_DIR "/samples/harbour-jar/";

Linework traced(const std::string& file) {
  const TracedPage page = trace_page(PageFile::open(kSample + file).read(1));
  Linework out;
  for (const TracedSketch& sketch : page.sketches) {
    out.append(sketch.lines);
  }
  return out;
}

Linework truth() {
  Linework out;
  for (const SvgGroup& group : read_svg_page(kSample + "truth/harbour-sketches.svg").groups) {
    out.append(group.lines);
  }
  return out;
}

// Bounds a little above what was measured when they were set; tighten them as tracing improves.
TEST(SamplePage, IsTracedCloseToTheLinesItWasDrawnFrom) {
  const LineAgreement got = compare_lines(traced("pages/harbour-sketches.png"), truth());
  EXPECT_GT(got.recall, 0.96);
  EXPECT_GT(got.precision, 0.98);
  EXPECT_LT(got.rms_mm, 0.035);
}

// The PDF holds the same pixels as a JPEG, as scanners make them. What that loss moves by more than
// 0.05 mm are ends of pencil lines, which fray into crumbs.
TEST(SamplePage, GivesTheSameLinesFromItsPngAndItsPdf) {
  const LineAgreement got = compare_lines(
      traced("pages/harbour-sketches.pdf"), traced("pages/harbour-sketches.png"), 0.05);
  EXPECT_GT(got.recall, 0.99);
  EXPECT_GT(got.precision, 0.99);
  EXPECT_LT(got.rms_mm, 0.01);
}

}  // namespace
}  // namespace underdraw
