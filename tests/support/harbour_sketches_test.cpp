#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "geometry/linework.h"
#include "io/read_pages.h"
#include "io/svg.h"
#include "sketches.h"

namespace underdraw::test {
namespace {

const std::string kSample = UNDERDRAW_SOURCE_DIR "/samples/harbour-jar/";

// How far the path's control points are from the other's, whichever way it was drawn.
double apart(const Path& a, const Path& b) {
  if (a.points.size() != b.points.size()) return 1e9;
  const Path turned = reversed(b);
  double same_way = 0.0;
  double other_way = 0.0;
  for (std::size_t i = 0; i < a.points.size(); ++i) {
    same_way = std::max(same_way, distance(a.points[i], b.points[i]));
    other_way = std::max(other_way, distance(a.points[i], turned.points[i]));
  }
  return std::min(same_way, other_way);
}

bool is_own_mirror_image(const Linework& lines) {
  return std::all_of(lines.strokes.begin(), lines.strokes.end(), [&](const Stroke& stroke) {
    const Path mirrored = transformed(stroke.path, Affine::mirror_x());
    return std::any_of(lines.strokes.begin(), lines.strokes.end(), [&](const Stroke& other) {
      return apart(mirrored, other.path) < 1e-9;
    });
  });
}

TEST(HarbourSketches, TheScallopAloneIsItsOwnMirrorImage) {
  for (const harbour::NamedSketch& sketch : harbour::all_sketches()) {
    const double middle = sketch.lines.ink_box().centre().x;
    const Linework centred = transformed(sketch.lines, Affine::translate({-middle, 0.0}));
    EXPECT_EQ(is_own_mirror_image(centred), sketch.name == "scallop") << sketch.name;
  }
  EXPECT_TRUE(is_own_mirror_image(harbour::draw_scallop())) << "about x = 0, without centring";
}

TEST(HarbourSketches, EachIsOfTheSizeThatAJarTakes) {
  for (const harbour::NamedSketch& sketch : harbour::all_sketches()) {
    const Box box = sketch.lines.ink_box();
    EXPECT_GT(box.height(), 32.0) << sketch.name;
    EXPECT_LT(box.height(), 51.0) << sketch.name;
    EXPECT_LT(box.width(), 45.0) << sketch.name;
  }
}

TEST(HarbourPage, SketchesLieTenMillimetresApart) {
  const SvgPage truth = read_svg_page(kSample + "truth/harbour-sketches.svg");
  ASSERT_EQ(truth.groups.size(), 6u);
  for (std::size_t i = 0; i < truth.groups.size(); ++i) {
    for (std::size_t k = i + 1; k < truth.groups.size(); ++k) {
      const Box grown = truth.groups[i].lines.ink_box().grown(10.0);
      EXPECT_FALSE(grown.overlaps(truth.groups[k].lines.ink_box()))
          << truth.groups[i].name << " and " << truth.groups[k].name;
    }
  }
}

// Share of the truth's length under which the page is darker than its paper.
double inked_share(const Page& page, const SvgPage& truth) {
  long dark = 0;
  long all = 0;
  for (const SvgGroup& group : truth.groups) {
    for (const Stroke& stroke : group.lines.strokes) {
      for (const Vec2 mm : sample(stroke.path, 0.2)) {
        const Vec2 px = page.px_from_mm(mm);
        const int x = static_cast<int>(px.x);
        const int y = static_cast<int>(px.y);
        int darkest = 255;  // of 3 x 3 pixels: the tooth leaves single ones bare
        for (int dy = -1; dy <= 1; ++dy) {
          for (int dx = -1; dx <= 1; ++dx) {
            darkest = std::min<int>(darkest, page.grey.at<std::uint8_t>(y + dy, x + dx));
          }
        }
        dark += darkest < 180 ? 1 : 0;
        ++all;
      }
    }
  }
  return static_cast<double>(dark) / static_cast<double>(all);
}

TEST(HarbourPage, InkOfBothFilesLiesOnTheTruth) {
  const SvgPage truth = read_svg_page(kSample + "truth/harbour-sketches.svg");
  SvgPage moved = truth;
  for (SvgGroup& group : moved.groups) {
    group.lines = transformed(group.lines, Affine::translate({1.1, -0.9}));
  }
  for (const char* name : {"pages/harbour-sketches.png", "pages/harbour-sketches.pdf"}) {
    const Page page = PageFile::open(kSample + name).read(1);
    EXPECT_NEAR(page.width_mm(), truth.width_mm, 0.01) << name;
    EXPECT_NEAR(page.height_mm(), truth.height_mm, 0.01) << name;
    EXPECT_GT(inked_share(page, truth), 0.99) << name;
    EXPECT_LT(inked_share(page, moved), 0.6) << name << ": the check would not notice a shift";
  }
}

}  // namespace
}  // namespace underdraw::test
