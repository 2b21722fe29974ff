// Sketches as people draw them: loose parts, borders, names, close company.
#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "scan/find_sketches.h"
#include "scan/judge_layout.h"
#include "scan/random_layouts.h"
#include "sketches.h"

namespace underdraw::test {
namespace {

const Hand kHands[] = {Hand::block, Hand::capitals, Hand::script, Hand::running};
const char* const kNames[] = {
    "thistle", "kelp", "scallop", "sea pink", "tern feather", "knotted rope"};

PencilOptions paper(double width_mm, double height_mm) {
  PencilOptions options;
  options.dpi = 150.0;  // what sketches are looked for at
  options.page_width_mm = width_mm;
  options.page_height_mm = height_mm;
  options.folds = 0;
  options.smudges = 0;
  return options;
}

SketchRegions find(const Linework& lines,
                   const PencilOptions& options,
                   const FindSketchesOptions& how = {}) {
  const Page page = page_of(draw_pencil_page(lines, options));
  return find_sketches(page, paper_light(page), how);
}

Linework as_tall_as(const Linework& lines, double height_mm) {
  Linework out = transformed(lines, Affine::scale(height_mm / lines.ink_box().height()));
  for (Stroke& stroke : out.strokes) stroke.width_mm = 0.45;
  return moved(out, -out.ink_box().min);
}

Linework append(Linework lines, const Linework& more) {
  lines.append(more);
  return lines;
}

// Left edge and top of the ink at that place.
Linework at(const Linework& lines, double x, double y) {
  return moved(lines, Vec2{x, y} - lines.ink_box().min);
}

double px_of(double mm) { return mm * 150.0 / 25.4; }

// Twelve of the harbour's sketches in tiles of 15 mm, 6 mm of paper between their ink.
std::vector<Linework> twelve_tiles() {
  std::vector<Linework> tiles;
  const std::vector<harbour::NamedSketch> sketches = harbour::all_sketches();
  for (int i = 0; i < 12; ++i) {
    Linework tile = sketches[static_cast<std::size_t>(i) % sketches.size()].lines;
    const Box box = tile.ink_box();
    tile = as_tall_as(tile, 15.0 * std::min(1.0, box.height() / box.width()));
    tiles.push_back(at(tile, 20.0 + 21.0 * (i % 4), 20.0 + 21.0 * (i / 4)));
  }
  return tiles;
}

Linework all_of(const std::vector<Linework>& drawings) {
  Linework all;
  for (const Linework& drawing : drawings) all.append(drawing);
  return all;
}

TEST(DrawnSketches, TwelveTilesSixMmApartAreTwelveAlsoOnAPageAskew) {
  const std::vector<Linework> tiles = twelve_tiles();
  for (const double skew : {0.0, 4.0, -4.0}) {
    PencilOptions options = paper(125.0, 100.0);
    options.skew_deg = skew;
    const SketchRegions got = find(all_of(tiles), options);
    ASSERT_EQ(got.sketch_count, 12U) << skew;
    const Vec2 middle{62.5, 50.0};
    const Affine turn =
        Affine::translate(middle) * Affine::turn_deg(skew) * Affine::translate(-middle);
    for (std::size_t i = 0; i < 12; ++i) {
      const Vec2 want = turn * tiles[i].ink_box().centre();
      const cv::Rect& box = got.boxes[i];
      EXPECT_NEAR(box.x + box.width / 2.0, px_of(want.x), px_of(1.5)) << skew << ": " << i;
      EXPECT_NEAR(box.y + box.height / 2.0, px_of(want.y), px_of(1.5)) << skew << ": " << i;
    }
  }
}

TEST(DrawnSketches, TwoLargeOnesKeepApartAcrossFiveMm) {
  const Linework flower = draw_flower(45.0, 3);
  const double wide = flower.ink_box().width();
  const Linework two = append(at(flower, 10.0, 10.0), at(flower, 10.0 + wide + 5.0, 10.0));
  EXPECT_EQ(find(two, paper(2.0 * wide + 25.0, 65.0)).sketch_count, 2U);
}

TEST(DrawnSketches, AFallenLeafBelongsToItsFlowerFromThreeToEightMm) {
  const Linework flower = at(draw_flower(40.0, 5), 10.0, 10.0);
  const Linework other = at(draw_flower(40.0, 6), 75.0, 10.0);
  for (double off = 3.0; off <= 8.0; off += 1.0) {
    const Linework leaf = draw_leaf(9.0, 20.0);
    const Box stand = flower.ink_box();
    // Below the flower's foot, where nothing else is near.
    const Linework fallen = at(leaf, stand.centre().x - 4.0, stand.max.y + off);
    const SketchRegions got = find(append(append(flower, fallen), other), paper(110.0, 75.0));
    ASSERT_EQ(got.sketch_count, 2U) << off;
    EXPECT_NEAR(got.boxes[0].br().y, px_of(fallen.ink_box().max.y), px_of(1.0)) << off;
  }
}

TEST(DrawnSketches, StamensAndATrailOfBubblesBelongToTheirFlower) {
  Linework lines = at(draw_flower(40.0, 7), 15.0, 40.0);
  const Box box = lines.ink_box();
  for (int i = 0; i < 5; ++i) {  // the first 5 mm over the flower, the last 31 mm
    Path dot;
    dot.points = {{box.centre().x + 1.5 * (i % 2), box.min.y - 5.0 - 6.5 * i}};
    lines.strokes.push_back({dot, 0.9});
  }
  const SketchRegions got = find(lines, paper(70.0, 95.0));
  EXPECT_EQ(got.boxes.size(), 1U);
  EXPECT_NEAR(got.boxes[0].y, px_of(box.min.y - 31.5), px_of(1.0));
}

TEST(DrawnSketches, ABorderUnderADrawingIsNoCaption) {
  const Linework flower = at(draw_flower(45.0, 8), 15.0, 10.0);
  const Box box = flower.ink_box();
  for (int kind = 0; kind <= static_cast<int>(Border::rope); ++kind) {
    for (const double height : {2.0, 3.0, 4.0}) {
      const Linework border = at(draw_border(static_cast<Border>(kind), 28.0, height, 11),
                                 box.centre().x - 14.0,
                                 box.max.y + 3.0);
      const SketchRegions got =
          find(append(flower, border), paper(70.0, 75.0), {.captions = Captions::skip});
      EXPECT_TRUE(got.captions.empty()) << kind << ", " << height << " mm";
      ASSERT_EQ(got.boxes.size(), 1U) << kind << ", " << height << " mm";
      EXPECT_NEAR(got.boxes[0].br().y, px_of(border.ink_box().max.y), px_of(1.0)) << kind;
    }
  }
}

struct SixNamed {
  std::vector<Linework> drawings;
  std::vector<Linework> names;

  Linework lines() const { return append(all_of(drawings), all_of(names)); }
};

SixNamed six_named(Hand hand, double capital_mm) {
  SixNamed out;
  const std::vector<harbour::NamedSketch> sketches = harbour::all_sketches();
  for (std::size_t i = 0; i < 6; ++i) {
    const double x = 12.0 + 52.0 * static_cast<double>(i % 3);
    const double y = 12.0 + 52.0 * static_cast<double>(i / 3);
    out.drawings.push_back(at(as_tall_as(sketches[i].lines, 35.0), x, y));
    const Box box = out.drawings.back().ink_box();
    const Linework name = write_words(kNames[i], hand, capital_mm, static_cast<unsigned>(i));
    out.names.push_back(at(name, box.centre().x - name.ink_box().width() / 2.0, box.max.y + 3.0));
  }
  return out;
}

TEST(DrawnSketches, NamesUnderSixSketchesAreLeftOutAndNothingElse) {
  for (const Hand hand : kHands) {
    for (const double capital_mm : {2.5, 4.0}) {
      const SixNamed page = six_named(hand, capital_mm);
      const SketchRegions got =
          find(page.lines(), paper(175.0, 125.0), {.captions = Captions::skip});
      ASSERT_EQ(got.sketch_count, 6U) << static_cast<int>(hand) << ", " << capital_mm;
      EXPECT_EQ(got.boxes.size(), 6U) << static_cast<int>(hand) << ", " << capital_mm;
      for (std::size_t i = 0; i < 6; ++i) {
        const Box want = page.drawings[i].ink_box();
        EXPECT_NEAR(got.boxes[i].br().y, px_of(want.max.y), px_of(0.8)) << kNames[i];
        EXPECT_NEAR(got.boxes[i].width, px_of(want.width()), px_of(1.2)) << kNames[i];
      }
    }
  }
}

TEST(DrawnSketches, KeptNamesGoWithTheSketchAboveThem) {
  for (const Hand hand : kHands) {
    const SixNamed page = six_named(hand, 3.0);
    const SketchRegions got = find(page.lines(), paper(175.0, 125.0));
    ASSERT_EQ(got.sketch_count, 6U) << static_cast<int>(hand);
    ASSERT_EQ(got.captions.size(), 6U) << static_cast<int>(hand);
    for (const FoundCaption& caption : got.captions) {
      ASSERT_TRUE(caption.sketch.has_value());
      const cv::Rect& box = got.boxes[*caption.sketch];
      EXPECT_EQ(box & caption.box, caption.box) << "the sketch's box has its name in it";
      EXPECT_NEAR(caption.box.x + caption.box.width / 2.0, box.x + box.width / 2.0, px_of(3.0));
    }
  }
}

TEST(DrawnSketches, ATitleFarFromAllSketchesIsLeftOutToo) {
  Linework lines = at(draw_flower(40.0, 9), 30.0, 45.0);
  lines.append(at(write_words("harbour jar, first page", Hand::script, 4.0, 1), 15.0, 8.0));
  const SketchRegions skipped = find(lines, paper(110.0, 95.0), {.captions = Captions::skip});
  EXPECT_EQ(skipped.boxes.size(), 1U);
  ASSERT_EQ(skipped.captions.size(), 1U);
  EXPECT_FALSE(skipped.captions[0].sketch.has_value());
  EXPECT_EQ(find(lines, paper(110.0, 95.0)).sketch_count, 2U) << "kept, it is lost by no one";
}

TEST(DrawnSketches, WhereAllIsSmallNothingIsACaption) {
  Linework words;  // words for themselves, to be painted on small lids
  for (int i = 0; i < 6; ++i) {
    const Linework word = write_words(kNames[i], Hand::script, 4.0, 3);
    words.append(at(word, 10.0 + 45.0 * (i % 2), 10.0 + 15.0 * (i / 2)));
  }
  const SketchRegions lids = find(words, paper(100.0, 60.0), {.captions = Captions::skip});
  EXPECT_TRUE(lids.captions.empty());
  EXPECT_EQ(lids.sketch_count, 6U);

  Linework motifs;  // small motifs in rows, as even as writing
  for (int i = 0; i < 24; ++i) {
    motifs.append(at(
        draw_flower(6.0, static_cast<unsigned>(i)), 10.0 + 12.0 * (i % 8), 10.0 + 12.0 * (i / 8)));
  }
  const SketchRegions small = find(motifs, paper(115.0, 55.0), {.captions = Captions::skip});
  EXPECT_TRUE(small.captions.empty());
  EXPECT_EQ(small.sketch_count, 24U);
}

TEST(DrawnSketches, DustNeitherJoinsNorAddsSketches) {
  PencilOptions options = paper(125.0, 100.0);
  const Linework tiles = all_of(twelve_tiles());
  options.specks = 2000;  // as dense as ten thousand on A4
  EXPECT_EQ(find(tiles, options).sketch_count, 12U) << "finer than any pen's dot";

  // Coarse dust, as from a dirty lid, each speck large enough to be a dot: 3500 on A4.
  options.specks = 0;
  Page page = page_of(draw_pencil_page(tiles, options));
  std::mt19937 dice(5);
  for (int i = 0; i < 700; ++i) {
    const auto coordinate = [&](int most) {
      return static_cast<int>(dice() % static_cast<unsigned>(most));
    };
    cv::circle(
        page.grey, {coordinate(page.grey.cols), coordinate(page.grey.rows)}, 1, 90, cv::FILLED);
  }
  EXPECT_EQ(find_sketches(page, paper_light(page)).sketch_count, 12U);
}

TEST(DrawnSketches, ASmudgeBetweenTwoTiesThemNotTogether) {
  const Linework flower = draw_flower(45.0, 3);
  const double wide = flower.ink_box().width();
  const Linework two = append(at(flower, 10.0, 10.0), at(flower, 18.0 + wide, 10.0));
  Page page = page_of(draw_pencil_page(two, paper(2.0 * wide + 30.0, 65.0)));
  cv::Mat smudge = cv::Mat::zeros(page.grey.size(), CV_8U);
  const cv::Point middle(static_cast<int>(px_of(14.0 + wide)), static_cast<int>(px_of(30.0)));
  cv::ellipse(smudge, middle, {50, 25}, 0.0, 0.0, 360.0, 60, cv::FILLED);
  cv::GaussianBlur(smudge, smudge, {0, 0}, 15.0);
  cv::subtract(page.grey, smudge, page.grey);
  EXPECT_EQ(find_sketches(page, paper_light(page)).sketch_count, 2U);
}

}  // namespace
}  // namespace underdraw::test
