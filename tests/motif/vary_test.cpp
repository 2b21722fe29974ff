#include "motif/vary.h"

#include <random>
#include <set>

#include <gtest/gtest.h>

#include "core/error.h"
#include "motif/shapes.h"

namespace underdraw {
namespace {

std::vector<Motif> six() {
  const std::vector<std::string> names = {
      "thistle", "kelp", "scallop", "sea-pink", "feather", "knot"};
  const std::vector<Linework> drawn = {shapes::thistle(),
                                       shapes::kelp(),
                                       shapes::by_hand(shapes::scallop(), 0.2, 3),
                                       shapes::by_hand(shapes::kelp(), 0.4, 2),
                                       shapes::feather(),
                                       shapes::by_hand(shapes::feather(), 0.3, 9)};
  std::vector<Motif> motifs;
  for (std::size_t i = 0; i < names.size(); ++i) motifs.push_back(make_motif(names[i], drawn[i]));
  return motifs;
}

bool same_points(const Linework& a, const Linework& b) {
  if (a.strokes.size() != b.strokes.size()) return false;
  for (std::size_t i = 0; i < a.strokes.size(); ++i) {
    if (a.strokes[i].path.points != b.strokes[i].path.points) return false;
    if (a.strokes[i].width_mm != b.strokes[i].width_mm) return false;
    if (a.strokes[i].widths_mm != b.strokes[i].widths_mm) return false;
  }
  return true;
}

TEST(Vary, SixMotifsGiveTwelveVariantsWithNamesOfTheirOwn) {
  const VaryResult result = vary(six());
  ASSERT_EQ(result.variants.size(), 12U);
  std::set<std::string> names;
  for (const Variant& v : result.variants) names.insert(v.motif.name);
  EXPECT_EQ(names.size(), 12U);
  EXPECT_EQ(result.variants[2].motif.name, "kelp");
  EXPECT_EQ(result.variants[3].motif.name, "kelp-mirrored");
  EXPECT_EQ(result.variants[3].source, "kelp");
  EXPECT_TRUE(result.variants[3].change.mirrored);
}

TEST(Vary, NamesMotifsThatAreTheirOwnMirrorAndLeavesThemOutOnlyWhenAsked) {
  const VaryResult result = vary(six());
  EXPECT_EQ(result.own_mirrors, (std::vector<std::string>{"thistle", "scallop"}));
  ASSERT_EQ(result.own_mirror_fits.size(), 2U);
  EXPECT_NEAR(result.own_mirror_fits[0].axis_deg, 90.0, 1.0);
  EXPECT_EQ(vary(six(), {.skip_mirror_of_symmetric = true}).variants.size(), 10U);
}

TEST(Vary, ThePenIsAsWideAtEachEndAsItWasThere) {
  Linework lines;
  lines.strokes.push_back({Path::polyline({{0, 0}, {9, 0}, {9, 5}}), 0.5, {0.3, 0.5, 0.7}});
  const Motif motif = make_motif("kelp", lines);
  EXPECT_EQ(motif.lines.strokes[0].widths_mm, lines.strokes[0].widths_mm);
  const Motif mirrored = changed(motif, {.mirrored = true, .turn_deg = 0.0, .scale = 2.0});
  const Stroke& stroke = mirrored.lines.strokes[0];
  EXPECT_EQ(stroke.widths_mm, (std::vector<double>{0.6, 1.0, 1.4}));
  // The thin end was on the left, and is on the right now.
  EXPECT_GT(stroke.path.points.front().x, stroke.path.points.back().x);
}

TEST(Vary, MirroredTwiceIsTheOriginalBitForBit) {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> place(-300.0, 300.0);
  for (int i = 0; i < 50; ++i) {
    Linework lines;
    Path path{{{place(random), place(random)}}, false};
    for (int k = 0; k < 9; ++k) path.points.push_back({place(random), place(random)});
    lines.strokes.push_back({path, 0.37});
    const Motif motif = make_motif("knot", lines);
    const Motif once = changed(motif, {.mirrored = true});
    const Motif twice = changed(once, {.mirrored = true});
    EXPECT_FALSE(same_points(motif.lines, once.lines));
    EXPECT_TRUE(same_points(motif.lines, twice.lines));
    EXPECT_EQ(motif.width_mm, twice.width_mm);
  }
}

TEST(Vary, ScalesEveryLengthAndThePenAlike) {
  const Motif kelp = six()[1];
  const VaryResult result = vary({kelp}, {.mirrors = Mirrors::mirrored, .scales = {0.75, 2.0}});
  ASSERT_EQ(result.variants.size(), 2U);
  EXPECT_EQ(result.variants[0].motif.name, "kelp-mirrored-75");
  EXPECT_EQ(result.variants[1].motif.name, "kelp-mirrored-200");
  const Motif& large = result.variants[1].motif;
  EXPECT_NEAR(large.width_mm, 2.0 * kelp.width_mm, 1e-8);
  EXPECT_NEAR(large.lines.length_mm(), 2.0 * kelp.lines.length_mm(), 1e-6);
  EXPECT_EQ(large.lines.strokes[0].width_mm, 2.0 * kelp.lines.strokes[0].width_mm);
}

TEST(Vary, ATurnedCopyFillsABoxOfItsOwn) {
  const Motif kelp = six()[1];
  const VaryResult result = vary({kelp}, {.mirrors = Mirrors::as_drawn, .turns_deg = {0, 90, 30}});
  ASSERT_EQ(result.variants.size(), 3U);
  EXPECT_EQ(result.variants[1].motif.name, "kelp-turned-90");
  EXPECT_NEAR(result.variants[1].motif.width_mm, kelp.height_mm, 1e-8);
  const Box box = result.variants[2].motif.lines.ink_box();
  EXPECT_NEAR(length(box.min), 0.0, 1e-8);
  EXPECT_NEAR(box.max.x, result.variants[2].motif.width_mm, 1e-8);
}

TEST(Vary, RefusesTwoVariantsOfOneNameAndScalesOutOfRange) {
  const Motif kelp = six()[1];
  Motif confusing = kelp;
  confusing.name = "kelp-mirrored";
  EXPECT_THROW(vary({kelp, confusing}), OptionError);
  EXPECT_THROW(vary({kelp}, {.scales = {1.0, 1.0}}), OptionError);
  EXPECT_THROW(vary({kelp}, {.scales = {0.0}}), OptionError);
  EXPECT_THROW(vary({kelp}, {.scales = {std::nan("")}}), OptionError);
  EXPECT_THROW(vary({kelp}, {.scales = {}}), OptionError);
}

}  // namespace
}  // namespace underdraw
